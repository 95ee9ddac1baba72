/**
 * Room time against page time, learnt from exchanges with the server. Pure: every time comes in as an argument.
 *
 * One exchange bounds the offset (room - page) from both sides, because no message arrives before it was sent:
 *
 *     sent_room - received_page  <=  offset  <=  received_room - sent_page
 *
 * The bounds of many exchanges form a corridor. Its slope is the drift, and its middle is the offset if the *fastest*
 * message each way took equally long; the two directions are judged apart, since the fastest message up and the
 * fastest message down hardly ever belong to the same exchange. An unequal fixed delay cannot be seen by any exchange:
 * half the difference remains, at most `boundMs`.
 *
 * The slope is the one that lifts the corridor's sides closest to the bounds (linear programming, after Moon, Skelly
 * and Towsley, "Estimation and removal of clock skew from network delay measurements", INFOCOM 1999), here for two
 * parallel sides, with a weak belief that computers' clocks are some tens of ppm apart.
 */
import { PPM } from './units.js';

/** @typedef {import('./units.js').Milliseconds} Milliseconds */

/**
 * What the socket layer measured. `*_page_ms` are its own, the others came in the server's answer.
 * @typedef {object} ClockExchange
 * @property {Milliseconds} sent_page_ms
 * @property {Milliseconds} received_page_ms
 * @property {Milliseconds} received_room_ms
 * @property {Milliseconds} sent_room_ms
 * @property {string | number} epoch  changes when the server starts anew
 */

/** @typedef {{ pageMs: Milliseconds, upper: Milliseconds, lower: Milliseconds }} Bounds */

/**
 * The corridor: offset = middle + slope * (page - pageMs).
 * @typedef {object} Corridor
 * @property {Milliseconds} pageMs
 * @property {Milliseconds} middle
 * @property {Milliseconds} halfWidth  no error is larger, apart from drift since
 * @property {Milliseconds} scatter  likely error when both fastest messages took equally long
 * @property {number} slope  drift, as a ratio
 * @property {number} slopeScatter
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
const REFINE_COUNT = 240;
const REFINE_GAP_MS = 100;
const TRICKLE_GAP_MS = 5000;
const USABLE_COUNT = 5;
const GOOD_SCATTER_MS = 0.3;
const KEPT_COUNT = 400;
const KEPT_MS = 300_000;
/** performance.now() moves in steps of 0.1 ms on an ordinary page. */
const RESOLUTION_MS = 0.1;
const LARGEST_SLOPE = 1000 * PPM;
const BELIEVED_SLOPE = 50 * PPM;
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
  const jittery = clock.corridor !== null && clock.corridor.scatter > GOOD_SCATTER_MS;
  return jittery && clock.fresh < REFINE_COUNT ? REFINE_GAP_MS : TRICKLE_GAP_MS;
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

/** @param {readonly Bounds[]} bounds @returns {Corridor} */
function corridorOf(bounds) {
  const pageMs = bounds[bounds.length - 1].pageMs;
  // Heights over a base, so that the wall clock's large numbers cost no precision; the lower side is turned over.
  const base = bounds[bounds.length - 1].upper;
  const above = bounds.map((b) => ({ x: b.pageMs - pageMs, y: b.upper - base }));
  const below = bounds.map((b) => ({ x: b.pageMs - pageMs, y: base - b.lower }));
  let slope = steepest(above, below, 0);
  slope = steepest(above, below, slope); // again, with the delays judged along that slope
  const top = side(above, slope);
  const bottom = side(below, -slope);
  const spanMs = pageMs - bounds[0].pageMs;
  const scatter = 1.5 * Math.hypot(top.scatter, bottom.scatter);
  return Object.freeze({
    pageMs,
    middle: base + (top.level - bottom.level) / 2,
    halfWidth: Math.max(0, (top.level + bottom.level) / 2),
    scatter,
    slope,
    slopeScatter: Math.min(2 * BELIEVED_SLOPE, 2 * scatter / Math.max(spanMs, 1)),
  });
}

/** @typedef {{ x: number, y: number }} Point */

/**
 * The line of this slope that touches the points from below: its level at x = 0, the points' mean height over it, and
 * how much lower it may still have to go (from how crowded the lowest points are).
 * @param {readonly Point[]} points
 * @param {number} slope
 */
function side(points, slope) {
  const heights = points.map((p) => p.y - slope * p.x).sort((a, b) => a - b);
  const level = heights[0];
  const nth = Math.min(5, heights.length - 1);
  const scatter = nth === 0 ? 50 : (heights[nth] - level) / nth;
  const median = heights[heights.length >> 1];
  return { level, scatter, excess: Math.max(median - level, RESOLUTION_MS) };
}

/**
 * The slope of greatest likelihood when delays over the minimum are exponential: a concave function of the slope.
 * @param {readonly Point[]} above
 * @param {readonly Point[]} below
 * @param {number} guess  slope along which the delays' means are taken
 */
function steepest(above, below, guess) {
  const meanX = above.reduce((sum, p) => sum + p.x, 0) / above.length;
  const weightAbove = above.length / side(above, guess).excess;
  const weightBelow = below.length / side(below, -guess).excess;
  return maximise((slope) => {
    const top = lowest(above, slope) + slope * meanX;
    const bottom = lowest(below, -slope) - slope * meanX;
    return weightAbove * top + weightBelow * bottom - (slope / BELIEVED_SLOPE) ** 2 / 2;
  });
}

/** @param {readonly Point[]} points @param {number} slope */
function lowest(points, slope) {
  let least = Infinity;
  for (const p of points) least = Math.min(least, p.y - slope * p.x);
  return least;
}

/** Ternary search. @param {(slope: number) => number} concave */
function maximise(concave) {
  let low = -LARGEST_SLOPE;
  let high = LARGEST_SLOPE;
  while (high - low > 0.2 * PPM) {
    const third = (high - low) / 3;
    if (concave(low + third) < concave(high - third)) low += third;
    else high -= third;
  }
  return (low + high) / 2;
}
