/**
 * Where a push stands at one moment of room time, as a learner's page needs it. Pure. The server tells what is done to
 * a run; that time passes, the page knows by itself.
 */

/** @typedef {import('./units.js').Milliseconds} Milliseconds */
/** @typedef {import('../wire.js').PushOut} Push */
/** @typedef {import('../wire.js').HaltOut} Halt */

/** @typedef {'counting in' | 'sounding' | 'paused' | 'tidying' | 'over'} Phase */

/**
 * What of a push is settled: the push, and whether it was halted.
 * @typedef {object} Run
 * @property {Push} push
 * @property {Halt | null} halt
 */

/** How much later than its edges say a symbol comes. @param {Push} push @param {number} index @returns {Milliseconds} */
export function shiftMs({ shifts }, index) {
  let shift = 0;
  for (const { first, shift_ms } of shifts) if (first <= index) shift = shift_ms;
  return shift;
}

/** @param {Push} push @param {number} index @returns {Milliseconds} after the push's start */
export const startMs = (push, index) => push.edges[index][0] + shiftMs(push, index);

/** @param {Push} push @param {number} index @returns {Milliseconds} after the push's start */
export const endMs = (push, index) => push.edges[index][push.edges[index].length - 1] + shiftMs(push, index);

/** When the last symbol of the run ends, after the push's start. @param {Run} run @returns {Milliseconds} */
export function lastEndMs({ push, halt }) {
  const count = halt?.for_good ? halt.sent : push.edges.length;
  return count === 0 ? 0 : endMs(push, count - 1);
}

/** @param {Run} run @param {Milliseconds} roomMs @returns {Phase} "over": the tidy-up time has passed */
export function phaseAt(run, roomMs) {
  const atMs = roomMs - run.push.start_room_ms;
  if (run.halt !== null && !run.halt.for_good) return 'paused';
  if (run.halt === null && atMs < startMs(run.push, 0)) return 'counting in';
  if (run.halt === null && atMs < lastEndMs(run)) return 'sounding';
  return atMs < tidyEndMs(run) ? 'tidying' : 'over';
}

/** Tidy-up time begins with the last sound or the stop. @param {Run} run @returns {Milliseconds} after the push's start */
export function tidyEndMs(run) {
  const stopMs = run.halt?.for_good ? run.halt.at_room_ms - run.push.start_room_ms : 0;
  return Math.max(lastEndMs(run), stopMs) + run.push.tidy_ms;
}

/**
 * How many symbols have sounded to their end.
 * @param {Run} run
 * @param {Milliseconds} roomMs
 */
export function completeAt({ push, halt }, roomMs) {
  if (halt?.for_good) return halt.sent;
  const atMs = Math.min(roomMs, halt?.at_room_ms ?? Infinity) - push.start_room_ms;
  let [low, high] = [0, push.edges.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (endMs(push, middle) <= atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * The symbol that sounds, or sounded last.
 * @param {Run} run
 * @param {Milliseconds} roomMs
 * @returns {number} -1 before the first
 */
export function symbolAt(run, roomMs) {
  const next = completeAt(run, roomMs);
  const begun = next < run.push.edges.length && startMs(run.push, next) <= roomMs - run.push.start_room_ms;
  return begun && run.halt === null ? next : next - 1;
}

/** Whether a tone is on. @param {Run} run @param {Milliseconds} roomMs */
export function toneAt(run, roomMs) {
  const index = symbolAt(run, roomMs);
  if (index < 0 || run.halt !== null) return false;
  const atMs = roomMs - run.push.start_room_ms - shiftMs(run.push, index);
  return run.push.edges[index].filter((edge) => edge <= atMs).length % 2 === 1;
}

/** Seconds to go, as a countdown shows them. @param {Milliseconds} ms */
export const secondsLeft = (ms) => Math.max(0, Math.ceil(ms / 1000));

/** Minutes and seconds. @param {Milliseconds} ms */
export function clockFace(ms) {
  const seconds = secondsLeft(ms);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}
