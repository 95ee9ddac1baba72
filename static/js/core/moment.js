/**
 * Where a run stands at one moment of room time. Pure. The server tells what is done to a run; that time passes, each
 * page knows by itself.
 */

/** @import { Milliseconds } from './units.js' */
/** @import { RunShape } from '../wire.js' */

/** A run as the console knows it: all of it. @typedef {Required<RunShape>} RunDetail */
/** A run as those know it who sound it. @typedef {RunShape & Required<Pick<RunShape, 'edges' | 'sounds' | 'end_ms' | 'shifts' | 'symbols'>>} Pushed */

/** "waiting": the tidy-up time is over, and sheets may still come in.
 * "stopped": the stop can still be taken back.
 * @typedef {'' | 'counting in' | 'sounding' | 'paused' | 'stopped' | 'tidying' | 'waiting' | 'closed' | 'revealed'} Phase */

/** A run's sound, as it is pushed. @typedef {Pick<RunDetail, 'start_room_ms' | 'edges' | 'shifts'>} Sounds */

/** What of a run its times follow from. `phase` is the one told last, `sent` how many sounds the run has, of which
 * `edges` may hold the first alone; the last of them ends at `end_ms`.
 * @typedef {Sounds & Pick<RunDetail, 'end_ms' | 'lasts_ms' | 'tidy_ms' | 'counted' | 'phase' | 'halted_room_ms' | 'sent'>} Run */

/**
 * When a run's sound begins and ends, in room time, and the phase that was told last.
 * @typedef {{ told: Phase, startRoomMs: Milliseconds, endRoomMs: Milliseconds, tidyEndRoomMs: Milliseconds,
 *   undoEndRoomMs?: Milliseconds }} Times  the last: until when a stop can be taken back, where somebody can do so
 */

/** These hold whatever the time. @type {readonly Phase[]} */
const SETTLED = Object.freeze(['', 'paused', 'closed', 'revealed']);

/** The sound is behind the class, or was ended. @type {readonly Phase[]} */
const IS_OVER = Object.freeze(['stopped', 'tidying', 'waiting']);
/** For so long the room takes a stop back. */
const UNDO_MS = 5000;

/** @param {Times} times @param {Milliseconds} roomMs  NaN while the clock is not usable @returns {Phase} */
export function phaseFrom({ told, startRoomMs, endRoomMs, tidyEndRoomMs, undoEndRoomMs = -Infinity }, roomMs) {
  if (SETTLED.includes(told) || Number.isNaN(roomMs)) return told;
  if (told === 'stopped' && roomMs < undoEndRoomMs) return told;
  const isOver = IS_OVER.includes(told); // it may have been stopped long before its end
  if (!isOver && roomMs < startRoomMs) return 'counting in';
  if (!isOver && roomMs < endRoomMs) return 'sounding';
  return roomMs < tidyEndRoomMs ? 'tidying' : 'waiting';
}

/** @param {Run | null} run @param {Milliseconds} roomMs @returns {Phase} "" without a run */
export function phaseAt(run, roomMs) {
  if (run === null) return '';
  if (run.edges.length === 0) return phaseOfOpen(run, roomMs);
  return phaseFrom({
    told: /** @type {Phase} */ (run.phase), startRoomMs: startRoomMs(run, 0), endRoomMs: lastEndRoomMs(run),
    tidyEndRoomMs: tidyEndRoomMs(run), undoEndRoomMs: (run.halted_room_ms ?? -Infinity) + UNDO_MS,
  }, roomMs);
}

/** Without a text of its own a run goes on until it is ended. @param {Run} run @param {Milliseconds} roomMs @returns {Phase} */
function phaseOfOpen(run, roomMs) {
  const endRoomMs = run.halted_room_ms ?? (run.lasts_ms > 0 ? run.start_room_ms + run.lasts_ms : Infinity);
  return phaseFrom({
    told: /** @type {Phase} */ (run.phase), startRoomMs: run.start_room_ms, endRoomMs, tidyEndRoomMs: endRoomMs + run.tidy_ms,
    undoEndRoomMs: endRoomMs + UNDO_MS,
  }, roomMs);
}

/** Whether the copies are final. @param {string | undefined} phase */
export const isClosed = (phase) => phase === 'closed' || phase === 'revealed';

/** Whether the class hears something, or is about to: nothing else may sound beside it. @param {string} phase */
export const isSounding = (phase) => phase === 'counting in' || phase === 'sounding';

/** Whether the sound is behind the class. @param {string} phase */
export const isSoundOver = (phase) => phase !== '' && phase !== 'paused' && !isSounding(phase);

/** How much later than its edges say a sound comes, after pauses. @param {Sounds} run @param {number} index @returns {Milliseconds} */
function shiftMs({ shifts }, index) {
  let shift = 0;
  for (const { first, shift_ms } of shifts) if (first <= index) shift = shift_ms;
  return shift;
}

/** @param {Sounds} run @param {number} index @returns {Milliseconds} when the sound's first tone begins */
export const startRoomMs = (run, index) => run.start_room_ms + shiftMs(run, index) + run.edges[index][0];

/** @param {Sounds} run @param {number} index @returns {Milliseconds} when the sound's last tone ends */
export const endRoomMs = (run, index) => run.start_room_ms + shiftMs(run, index) + run.edges[index][run.edges[index].length - 1];

/** @param {Run} run */
const isStopped = ({ halted_room_ms: halted, phase }) => halted !== null && phase !== 'paused';

/** @param {Run} run @returns {Milliseconds} when the last sound of the run ends */
function soundEndRoomMs(run) {
  if (run.sent === 0) return run.start_room_ms + (run.lasts_ms ?? 0);
  if (run.sent <= run.edges.length) return endRoomMs(run, run.sent - 1);
  return run.start_room_ms + shiftMs(run, run.sent - 1) + run.end_ms;
}

/** With its last sound, or what is to come after that. @param {Run} run @returns {Milliseconds} when the run is over */
export const lastEndRoomMs = (run) => (isStopped(run) ? soundEndRoomMs(run) : Math.max(soundEndRoomMs(run), run.start_room_ms + (run.lasts_ms ?? 0)));

/** Tidy-up time begins with the last sound or the stop; there is none where nothing counts. @param {Run} run @returns {Milliseconds} */
export const tidyEndRoomMs = (run) =>
  Math.max(lastEndRoomMs(run), Math.max(soundEndRoomMs(run), run.halted_room_ms ?? 0) + (run.counted ? run.tidy_ms : 0));

/**
 * How many sounds have begun, so the last of them sounds or was the last to sound; 0 before the first.
 * @param {Run} run
 * @param {Milliseconds} roomMs
 */
export const begunAt = (run, roomMs) => passed(run, startRoomMs, roomMs);

/** How many sounds have ended. @param {Run} run @param {Milliseconds} roomMs */
export const completeAt = (run, roomMs) => (isStopped(run) ? run.sent : passed(run, endRoomMs, roomMs));

/** @param {Run} run @param {(run: Run, index: number) => Milliseconds} when @param {Milliseconds} roomMs */
function passed(run, when, roomMs) {
  const atRoomMs = Math.min(roomMs, run.halted_room_ms ?? Infinity);
  let [low, high] = [0, Math.min(run.sent, run.edges.length)];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (when(run, middle) <= atRoomMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * The sound that is under way, or was the last whole one.
 * @param {Run} run
 * @param {Milliseconds} roomMs
 * @returns {number} -1 before the first
 */
export const symbolAt = (run, roomMs) => (run.halted_room_ms === null ? begunAt(run, roomMs) : completeAt(run, roomMs)) - 1;

/** Whether a sound is under way, the gaps inside it included. @param {Run} run @param {Milliseconds} roomMs */
export function isInSound(run, roomMs) {
  const index = symbolAt(run, roomMs);
  return index >= 0 && run.halted_room_ms === null && roomMs < endRoomMs(run, index);
}

/** Whether a tone is on. @param {Run} run @param {Milliseconds} roomMs */
export function toneAt(run, roomMs) {
  if (!isInSound(run, roomMs)) return false;
  const index = symbolAt(run, roomMs);
  const atMs = roomMs - run.start_room_ms - shiftMs(run, index);
  return run.edges[index].filter((edge) => edge <= atMs).length % 2 === 1;
}

/**
 * The sounds of a run with more of them, as of one; those that come after a gap are of no use.
 * @template {Pick<Pushed, 'edges'>} Some
 * @param {Some} run
 * @param {{ first: number, edges: number[][] }} more
 * @returns {Some}
 */
export const withMore = (run, { first, edges }) => (first > run.edges.length || first + edges.length <= run.edges.length
  ? run : { ...run, edges: [...run.edges.slice(0, first), ...edges] });

/** Seconds to go, as a countdown shows them. @param {Milliseconds} ms */
export const secondsLeft = (ms) => Math.max(0, Math.ceil(ms / 1000));

/** Minutes and seconds. @param {Milliseconds} ms */
export function clockFace(ms) {
  const seconds = secondsLeft(ms);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}
