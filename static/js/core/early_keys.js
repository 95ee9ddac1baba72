/**
 * Keys pressed while a page comes back, before it knows its sheet or the room's time: kept in order with the time of day,
 * which a reload does not change, and written when both are known. Pure.
 */

/** @import { Milliseconds } from './units.js' */
/** @typedef {readonly (readonly [sign: string, atEpochMs: number])[]} Early */

/** Older ones were meant for another run. */
const STALE_MS = 60_000;
const MOST = 200;

/**
 * @param {Early} early
 * @param {string} sign
 * @param {Milliseconds} pageMs
 * @param {number} originMs  the page's beginning as a time of day, `performance.timeOrigin`
 * @returns {Early}
 */
export const withKey = (early, sign, pageMs, originMs) => [...early, /** @type {const} */ ([sign, originMs + pageMs])].slice(-MOST);

/**
 * What is still meant, in this page's time.
 * @param {Early} early
 * @param {Milliseconds} nowPageMs
 * @param {number} originMs
 * @returns {{ sign: string, pageMs: Milliseconds }[]}
 */
export const inPageTime = (early, nowPageMs, originMs) =>
  early.map(([sign, at]) => ({ sign, pageMs: at - originMs })).filter(({ pageMs }) => pageMs > nowPageMs - STALE_MS);
