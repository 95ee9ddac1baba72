/**
 * Where a run stands at one moment of room time, by what the console knows of it. Pure.
 *
 * The server tells of a run when something is done to it; that time passes, each page knows by itself.
 */

/** @typedef {import('../wire.js').RunDetail} RunDetail */

/** @typedef {'' | 'counting in' | 'sounding' | 'paused' | 'tidying' | 'waiting' | 'closed' | 'revealed'} Phase */

/**
 * The phase of a run at this room time. "waiting": the tidy-up time is over, and sheets may still come in.
 * @param {RunDetail | null} run
 * @param {number} roomMs
 * @returns {Phase}
 */
export function phaseAt(run, roomMs) {
  if (run === null) return '';
  if (run.phase === 'closed' || run.phase === 'revealed') return run.phase;
  const stopped = run.halted_room_ms !== null && run.phase === 'tidying';
  if (run.halted_room_ms !== null && !stopped) return 'paused';
  if (Number.isNaN(roomMs)) return /** @type {Phase} */ (run.phase); // the clock is not usable yet
  if (!stopped && roomMs < run.start_room_ms + run.start_ms[0]) return 'counting in';
  if (!stopped && roomMs < endRoomMs(run)) return 'sounding';
  return run.counted && roomMs < tidyEndRoomMs(run) ? 'tidying' : 'waiting';
}

/** Whether the class hears something, or is about to: nothing else may sound beside it. @param {Phase} phase */
export const isSounding = (phase) => phase === 'counting in' || phase === 'sounding';

/** When the last sound of a run ends. @param {RunDetail} run */
export function endRoomMs(run) {
  return run.start_room_ms + (run.sent === 0 ? 0 : run.end_ms[run.sent - 1]);
}

/** Tidy-up time begins with the last sound or the stop. @param {RunDetail} run */
export function tidyEndRoomMs(run) {
  return Math.max(endRoomMs(run), run.halted_room_ms ?? 0) + run.tidy_ms;
}

/**
 * How many sounds have begun, so the last of them sounds or was the last to sound; 0 before the first.
 * @param {RunDetail} run
 * @param {number} roomMs
 */
export function begunAt(run, roomMs) {
  const sinceMs = Math.min(roomMs, run.halted_room_ms ?? Infinity) - run.start_room_ms;
  let low = 0;
  let high = run.start_ms.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (run.start_ms[middle] <= sinceMs) low = middle + 1;
    else high = middle;
  }
  return Math.min(low, run.sent);
}
