/**
 * Room time against page time, learnt from exchanges with the server. Pure: every time comes in as an argument.
 *
 * One exchange bounds the offset (room - page) from both sides, because no message arrives before it was sent:
 *
 *     sent_room - received_page  <=  offset  <=  received_room - sent_page
 *
 * The corridor that the bounds of many exchanges form (corridor.js) says the offset, the drift, and how sure both are.
 */
import { RESOLUTION_MS, corridorOf } from './corridor.js';
import { PPM } from './units.js';

/** @import { Milliseconds } from './units.js' */
/** @import { Bounds, Corridor } from './corridor.js' */

/**
 * What the socket layer measured. `*_page_ms` are its own, the others came in the server's answer.
 * @typedef {object} ClockExchange
 * @property {Milliseconds} sent_page_ms
 * @property {Milliseconds} received_page_ms
 * @property {Milliseconds} received_room_ms
 * @property {Milliseconds} sent_room_ms
 * @property {string | number} epoch  changes when the server starts anew
 */

/**
 * @typedef {object} Clock
 * @property {string | number | null} epoch
 * @property {readonly Bounds[]} bounds  oldest first
 * @property {Corridor | null} corridor
 * @property {number} fresh  exchanges since the last start, step or doubt
 * @property {number} steps  times that the clocks were found to have jumped (a sleep, a clock set anew)
 */

const BURST_COUNT = 12;
const BURST_GAP_MS = 50;
const REFINE_COUNT = 400;
const REFINE_GAP_MS = 40;
const TRICKLE_GAP_MS = 5000;
const JITTERY_TRICKLE_GAP_MS = 2000;
/** Ask again when what is known has aged by a tenth: drift shows only with time. */
const AGED_PART = 0.1;
const USABLE_COUNT = 5;
const GOOD_SCATTER_MS = 0.3;
const KEPT_COUNT = 600;
const KEPT_MS = 300_000;
const STEP_TOLERANCE_MS = 0.5;

/** @returns {Clock} */
export function create() {
  return Object.freeze({ epoch: null, bounds: Object.freeze([]), corridor: null, fresh: 0, steps: 0 });
}

/**
 * The clock after one more exchange.
 * @param {Clock} clock
 * @param {ClockExchange} taken
 * @returns {Clock}
 */
export function exchange(clock, taken) {
  const bounds = boundsOf(taken);
  if (!Number.isFinite(bounds.upper - bounds.lower) || taken.received_page_ms < taken.sent_page_ms) return clock;
  if (clock.epoch !== taken.epoch) return startFrom({ ...create(), epoch: taken.epoch }, bounds);
  if (contradicts(clock.corridor, bounds)) return startFrom({ ...clock, steps: clock.steps + 1 }, bounds);
  return withBounds({ ...clock, fresh: clock.fresh + 1 }, [...clock.bounds, bounds]);
}

/**
 * Ask for a new burst without forgetting: after a reconnect, a wake-up, a page shown again.
 * @param {Clock} clock
 * @returns {Clock}
 */
export function doubt(clock) {
  return Object.freeze({ ...clock, fresh: 0 });
}

/**
 * @param {Clock} clock
 * @param {Milliseconds} roomMs
 * @returns {Milliseconds} page time, NaN before the first exchange
 */
export function toPage(clock, roomMs) {
  const c = clock.corridor;
  return c === null ? NaN : c.pageMs + (roomMs - c.pageMs - c.middle) / (1 + c.slope);
}

/**
 * @param {Clock} clock
 * @param {Milliseconds} pageMs
 * @returns {Milliseconds} room time, NaN before the first exchange
 */
export function toRoom(clock, pageMs) {
  const c = clock.corridor;
  return c === null ? NaN : pageMs + c.middle + c.slope * (pageMs - c.pageMs);
}

/**
 * How far `toPage` is likely to be off (about 95 %), if messages travel equally fast both ways.
 * @param {Clock} clock
 * @param {Milliseconds} pageMs  now
 * @returns {Milliseconds} Infinity before the first exchange
 */
export function uncertaintyMs(clock, pageMs) {
  const c = clock.corridor;
  return c === null ? Infinity : RESOLUTION_MS + c.scatter + ageing(c, pageMs);
}

/**
 * How far `toPage` can be off at worst, however unequal the two directions are.
 * @param {Clock} clock
 * @param {Milliseconds} pageMs  now
 * @returns {Milliseconds} Infinity before the first exchange
 */
export function boundMs(clock, pageMs) {
  const c = clock.corridor;
  return c === null ? Infinity : RESOLUTION_MS + Math.max(c.halfWidth, c.scatter) + ageing(c, pageMs);
}

/**
 * @param {Clock} clock
 * @param {Milliseconds} pageMs  now
 * @returns {{ usable: boolean, exchanges: number, steps: number, driftPpm: number,
 *             uncertaintyMs: Milliseconds, boundMs: Milliseconds }}
 */
export function status(clock, pageMs) {
  return {
    usable: clock.bounds.length >= USABLE_COUNT,
    exchanges: clock.bounds.length,
    steps: clock.steps,
    driftPpm: (clock.corridor?.slope ?? 0) / PPM,
    uncertaintyMs: uncertaintyMs(clock, pageMs),
    boundMs: boundMs(clock, pageMs),
  };
}

/**
 * How long the socket layer waits after one answer before it asks again: a burst, closer looks for as long as the
 * network is jittery, then a trickle.
 * @param {Clock} clock
 * @returns {Milliseconds}
 */
export function nextExchangeInMs(clock) {
  if (clock.fresh < BURST_COUNT) return BURST_GAP_MS;
  const { bounds, corridor } = clock;
  const last = bounds[bounds.length - 1];
  const jittery = corridor !== null && corridor.scatter > GOOD_SCATTER_MS;
  // No more often than an answer takes: a busy server is not asked the more for being slow.
  if (jittery && clock.fresh < REFINE_COUNT) return Math.max(REFINE_GAP_MS, (last.upper - last.lower) / 2);
  const knownMs = last.pageMs - bounds[0].pageMs;
  return Math.min(AGED_PART * knownMs, jittery ? JITTERY_TRICKLE_GAP_MS : TRICKLE_GAP_MS);
}

/** @param {ClockExchange} taken @returns {Bounds} */
function boundsOf(taken) {
  return Object.freeze({
    pageMs: (taken.sent_page_ms + taken.received_page_ms) / 2,
    upper: taken.received_room_ms - taken.sent_page_ms,
    lower: taken.sent_room_ms - taken.received_page_ms,
  });
}

/**
 * Bounds that leave the corridor altogether: one of the clocks jumped.
 * @param {Corridor | null} corridor
 * @param {Bounds} bounds
 */
function contradicts(corridor, bounds) {
  if (corridor === null) return false;
  const middle = corridor.middle + corridor.slope * (bounds.pageMs - corridor.pageMs);
  const tolerance = corridor.halfWidth + STEP_TOLERANCE_MS + ageing(corridor, bounds.pageMs);
  return bounds.upper < middle - tolerance || bounds.lower > middle + tolerance;
}

/** @param {Corridor} corridor @param {Milliseconds} pageMs */
function ageing(corridor, pageMs) {
  return Math.abs(pageMs - corridor.pageMs) * corridor.slopeScatter;
}

/** @param {Clock} clock @param {Bounds} bounds @returns {Clock} */
function startFrom(clock, bounds) {
  return withBounds({ ...clock, fresh: 1 }, [bounds]);
}

/** @param {Clock} clock @param {Bounds[]} bounds @returns {Clock} */
function withBounds(clock, bounds) {
  const oldestMs = bounds[bounds.length - 1].pageMs - KEPT_MS;
  const kept = bounds.slice(-KEPT_COUNT).filter((b) => b.pageMs >= oldestMs);
  return Object.freeze({ ...clock, bounds: Object.freeze(kept), corridor: corridorOf(kept) });
}
