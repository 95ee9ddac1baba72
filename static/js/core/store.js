/**
 * A page's state in one place: it changes only by `reduce(state, action)`, and views are functions of it. Pure apart
 * from remembering the state. Sound does not pass through here: a slow view must not delay a tone.
 */

/**
 * @template State, Action
 * @typedef {object} Store
 * @property {() => State} get
 * @property {(action: Action) => void} dispatch
 * @property {(listener: () => void) => () => void} subscribe  called after each change; returns how to end it
 */

/**
 * @template State, Action
 * @param {(state: State, action: Action) => State} reduce  the same state back means that nothing changed
 * @param {State} initial
 * @returns {Store<State, Action>}
 */
export function createStore(reduce, initial) {
  let state = initial;
  /** @type {Set<() => void>} */
  const listeners = new Set();

  /** @param {Action} action */
  function dispatch(action) {
    const next = reduce(state, action);
    if (next === state) return;
    state = next;
    for (const listener of [...listeners]) listener();
  }

  /** @param {() => void} listener */
  function subscribe(listener) {
    listeners.add(listener);
    return () => void listeners.delete(listener);
  }

  return Object.freeze({ get: () => state, dispatch, subscribe });
}
