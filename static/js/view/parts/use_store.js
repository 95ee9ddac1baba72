/** How a view reads a store, and the time: only what it asks for makes it draw again. */
import { useEffect, useReducer, useRef, useState } from '../../../vendor/preact.js';

/**
 * @template State, Action, Part
 * @param {import('../../core/store.js').Store<State, Action>} store
 * @param {(state: State) => Part} select  a part of the state, or a plain value made of it
 * @returns {Part}
 */
export function useStore(store, select) {
  const [, drawAgain] = useReducer((/** @type {number} */ n) => n + 1, 0);
  const part = select(store.get());
  const latest = useRef({ select, part });
  latest.current = { select, part };
  useEffect(() => {
    const check = () => {
      if (latest.current.select(store.get()) !== latest.current.part) drawAgain(undefined);
    };
    check();
    return store.subscribe(check);
  }, [store]);
  return part;
}

/**
 * A value that changes with time, looked at regularly: a countdown, a phase.
 * @template Value
 * @param {() => Value} read  a plain value; the view is drawn again when it differs
 * @param {number} [everyMs]
 * @returns {Value}
 */
export function useTicking(read, everyMs = 100) {
  const [, setSeen] = useState(read);
  const latest = useRef(read);
  latest.current = read;
  useEffect(() => {
    const timer = setInterval(() => setSeen(() => latest.current()), everyMs);
    return () => clearInterval(timer);
  }, [everyMs]);
  return read();
}

/**
 * Do something a while after something has changed, unless it changes again before.
 * @param {() => void} act
 * @param {number | null} ms  null: not at all
 * @param {readonly unknown[]} changing
 */
export function useLater(act, ms, changing) {
  useEffect(() => {
    if (ms === null) return undefined;
    const timer = setTimeout(act, ms);
    return () => clearTimeout(timer);
  }, changing);
}
