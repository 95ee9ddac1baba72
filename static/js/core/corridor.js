/**
 * What many clock exchanges say together about the offset of two clocks (room - page). Pure.
 *
 * The bounds of the exchanges form a corridor. Its slope is the drift, and its middle is the offset if the *fastest*
 * message each way took equally long; the two directions are judged apart, since the fastest message up and the
 * fastest message down hardly ever belong to the same exchange. An unequal fixed delay cannot be seen by any exchange:
 * half the difference remains, at most `halfWidth`.
 *
 * The slope is the one that lifts the corridor's sides closest to the bounds (linear programming, after Moon, Skelly
 * and Towsley, "Estimation and removal of clock skew from network delay measurements", INFOCOM 1999), here for two
 * parallel sides, with a weak belief that computers' clocks are some tens of ppm apart.
 */
import { PPM } from './units.js';

/** @import { Milliseconds } from './units.js' */

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

/** performance.now() moves in steps of 0.1 ms on an ordinary page. */
export const RESOLUTION_MS = 0.1;
const UNKNOWN_MS = 50;
const LARGEST_SLOPE = 1000 * PPM;
const BELIEVED_SLOPE = 100 * PPM;
const SLOPE_STEP = 0.2 * PPM;
/** Difference in log-likelihood that leaves about one case in twenty out. */
const UNLIKELY = 3;

/** @param {readonly Bounds[]} bounds  at least one, oldest first @returns {Corridor} */
export function corridorOf(bounds) {
  const { pageMs, upper: base } = bounds[bounds.length - 1];
  // Heights over a base, so that the wall clock's large numbers cost no precision; the lower side is turned over.
  const above = bounds.map((b) => ({ x: b.pageMs - pageMs, y: b.upper - base }));
  const below = bounds.map((b) => ({ x: b.pageMs - pageMs, y: base - b.lower }));
  const { slope, least, most, middleOf } = slopes(above, below);
  const [top, bottom] = [side(above, slope), side(below, -slope)];
  const middle = middleOf(slope);
  const bySlope = Math.max(Math.abs(middleOf(least) - middle), Math.abs(middleOf(most) - middle));
  return Object.freeze({
    pageMs,
    middle: base + middle,
    halfWidth: Math.max(0, (top.level + bottom.level) / 2) + bySlope,
    scatter: 2 * Math.hypot(top.scatter, bottom.scatter) + bySlope,
    slope,
    slopeScatter: Math.max(slope - least, most - slope),
  });
}

/** @typedef {{ x: number, y: number }} Point */

/**
 * The line of this slope that touches the points from below: its level at x = 0, the points' usual height over it, and
 * how much lower it may still have to go, from how crowded the lowest points are.
 * @param {readonly Point[]} points
 * @param {number} slope
 */
function side(points, slope) {
  const heights = points.map((p) => p.y - slope * p.x).sort((a, b) => a - b);
  const level = heights[0];
  const nth = Math.min(5, heights.length - 1);
  const scatter = nth === 0 ? UNKNOWN_MS : (heights[nth] - level) / nth;
  return { level, scatter, excess: Math.max(heights[heights.length >> 1] - level, RESOLUTION_MS) };
}

/**
 * The slope of greatest likelihood when delays over the minimum are exponential, the least and the most that are not
 * much less likely, and the corridor's middle for a slope.
 * @param {readonly Point[]} above
 * @param {readonly Point[]} below
 */
function slopes(above, below) {
  const [floor, ceiling] = [hull(above), hull(below)];
  const meanX = above.reduce((sum, p) => sum + p.x, 0) / above.length;
  /** @param {number} guess  slope along which the delays' means are taken */
  const likelihood = (guess) => {
    const weightAbove = above.length / side(above, guess).excess;
    const weightBelow = below.length / side(below, -guess).excess;
    return (/** @type {number} */ slope) => {
      const top = lowest(floor, slope) + slope * meanX;
      const bottom = lowest(ceiling, -slope) - slope * meanX;
      return weightAbove * top + weightBelow * bottom - (slope / BELIEVED_SLOPE) ** 2 / 2;
    };
  };
  const likely = likelihood(summit(likelihood(0))); // twice: the delays are judged along a likely slope
  const slope = summit(likely);
  /** @param {number} other */
  const holds = (other) => likely(other) >= likely(slope) - UNLIKELY;
  return {
    slope,
    least: threshold(holds, slope, -LARGEST_SLOPE),
    most: threshold(holds, slope, LARGEST_SLOPE),
    middleOf: (/** @type {number} */ other) => (lowest(floor, other) - lowest(ceiling, -other)) / 2,
  };
}

/**
 * The few points that a line from below can touch: the lower convex hull (monotone chain).
 * @param {readonly Point[]} points  by ascending x
 */
function hull(points) {
  /** @type {Point[]} */
  const kept = [];
  for (const p of points) {
    while (kept.length >= 2 && !isBelow(kept[kept.length - 1], kept[kept.length - 2], p)) kept.pop();
    kept.push(p);
  }
  return kept;
}

/** Whether p lies under the line from a to b. @param {Point} p @param {Point} a @param {Point} b */
function isBelow(p, a, b) {
  return (p.x - a.x) * (b.y - a.y) > (p.y - a.y) * (b.x - a.x);
}

/**
 * Level at x = 0 of the line of this slope that touches the points from below.
 * @param {readonly Point[]} points
 * @param {number} slope
 */
function lowest(points, slope) {
  let least = Infinity;
  for (const p of points) least = Math.min(least, p.y - slope * p.x);
  return least;
}

/** Where a concave function is highest. @param {(slope: number) => number} concave */
function summit(concave) {
  let low = -LARGEST_SLOPE;
  let high = LARGEST_SLOPE;
  while (high - low > SLOPE_STEP) {
    const third = (high - low) / 3;
    if (concave(low + third) < concave(high - third)) low += third;
    else high -= third;
  }
  return (low + high) / 2;
}

/**
 * How far from `inside` towards `outside` a claim holds.
 * @param {(slope: number) => boolean} holds
 * @param {number} inside
 * @param {number} outside
 */
function threshold(holds, inside, outside) {
  while (Math.abs(outside - inside) > SLOPE_STEP) {
    const middle = (inside + outside) / 2;
    if (holds(middle)) inside = middle;
    else outside = middle;
  }
  return outside;
}
