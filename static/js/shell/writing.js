/** What a learner does to the copy: strokes, tidying up, a sheet keyed in, handing in. */
import { signOf, signsOf, strokesBetween } from '../core/copy.js';
import { inPageTime, withKey } from '../core/early_keys.js';
import { erasureFor, isReturning, phaseOf, sheetScreen, strokeFor } from '../core/learner_state.js';
import { inTab } from './storage.js';

/** @import { Learner } from '../core/learner_state.js' */
/** @import { Key } from '../wire.js' */

const EARLY_LOOK_MS = 50;

/**
 * @param {object} wiring
 * @param {import('../core/learner_state.js').LearnerStore} wiring.store
 * @param {import('./socket.js').Socket} wiring.connection
 * @param {import('./outbox.js').Outbox} wiring.outbox
 */
export function createWriting({ store, connection, outbox }) {
  /** @param {Partial<Learner>} changed */
  const set = (changed) => store.dispatch({ type: 'set', changed });

  /** @param {readonly Key[]} keys */
  function write(keys) {
    const { push } = store.get();
    if (push === null || keys.length === 0) return;
    outbox.write(push.push, keys);
    store.dispatch({ type: 'wrote', keys });
  }

  /** @param {{ key?: Key, why?: string }} stroke @returns {boolean} whether the press meant something */
  function act({ key, why }) {
    if (key !== undefined) write([key]);
    if (why !== undefined) store.dispatch({ type: 'said', sentence: why });
    return key !== undefined || why !== undefined;
  }

  const early = createEarly(() => !isReturning(store.get()) && !Number.isNaN(connection.roomMs()), (sign, pageMs) => {
    const { key } = sheetScreen(store.get()) === 'run' ? strokeFor(store.get(), sign, connection.roomMs(pageMs)) : {};
    if (key !== undefined) write([key]);
  });

  return {
    /** @param {string} sign @param {number} [pageMs] */
    press: (sign, pageMs = performance.now()) => early.press(sign, pageMs)
      || act(strokeFor(store.get(), sign, connection.roomMs(pageMs))),
    /** @param {number} [pageMs] */
    erase: (pageMs) => act(erasureFor(store.get(), connection.roomMs(pageMs))),
    /** @param {number | null} place */
    choosePlace: (place) => store.dispatch({ type: 'chose_place', place }),
    /** @param {'before' | 'after' | 'first' | 'last' | 'none'} to */
    move(to) {
      const { marks, place } = store.get();
      if (phaseOf(store.get(), connection.roomMs()) !== 'tidying') return;
      const at = place ?? marks.length;
      const next = { before: Math.max(0, at - 1), after: at + 1, first: 0, last: marks.length, none: marks.length }[to];
      store.dispatch({ type: 'chose_place', place: next < marks.length ? next : null });
    },
    /** @param {boolean} inserting */
    setInserting: (inserting) => set({ inserting }),
    /** A sheet that is being keyed in, as it stands now. @param {string} signs */
    writeSheet(signs) {
      const { marks, push } = store.get();
      if (push !== null) write(strokesBetween(signsOf(marks), signs, connection.roomMs() - push.start_room_ms));
    },
    handIn() {
      const { push } = store.get();
      if (push === null) return;
      outbox.flush();
      connection.send('hand_in', { push: push.push });
      set({ handedIn: true, place: null });
    },
    /** Of a sheet that stays on paper. @param {number} right @param {number} of */
    handInCount(right, of) {
      const { push } = store.get();
      if (push !== null) connection.send('hand_in_count', { push: push.push, right, of });
    },
    takeBack: () => set({ handedIn: false }),
  };
}

/**
 * Keeps what is pressed before the page knows its sheet and the room's time, also through one more reload.
 * @param {() => boolean} isReady
 * @param {(sign: string, pageMs: number) => void} write
 */
function createEarly(isReady, write) {
  /** @type {import('../core/early_keys.js').Early} */
  let early = inTab.read('early') ?? [];
  /** @type {ReturnType<typeof setInterval> | undefined} */
  let looking;

  function look() {
    if (!isReady()) return;
    clearInterval(looking);
    looking = undefined;
    const keys = inPageTime(early, performance.now(), performance.timeOrigin);
    early = [];
    inTab.forget('early');
    for (const { sign, pageMs } of keys) write(sign, pageMs);
  }
  const wait = () => void (looking ??= setInterval(look, EARLY_LOOK_MS));
  if (early.length > 0) wait();

  return {
    /** @param {string} character @param {number} pageMs @returns {boolean} whether it was kept for later */
    press(character, pageMs) {
      const sign = signOf(character);
      if (sign === '' || (early.length === 0 && isReady())) return false;
      early = withKey(early, sign, pageMs, performance.timeOrigin);
      inTab.write('early', early);
      wait();
      return true;
    },
  };
}
