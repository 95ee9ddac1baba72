/**
 * The units that every name carries at its end, as types.
 *
 * Room time is the server's clock, page time is `performance.now()`, audio time is `AudioContext.currentTime`.
 * Only clock.js (room and page) and anchor.js (page and audio) turn one into another.
 *
 * @typedef {number} Milliseconds
 * @typedef {number} Seconds
 * @typedef {number} Hertz
 */

export const MS_PER_S = 1000;

/** Parts per million, as a plain ratio. */
export const PPM = 1e-6;

/** A share in percent, a half up. @param {number} share */
export const percent = (share) => Math.round(100 * share);
