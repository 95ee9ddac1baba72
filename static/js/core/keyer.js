/**
 * An electronic keyer: two paddles make dits and dahs of the right length. Pure: it is told what the fingers do and when,
 * and says what sounds; whoever runs it asks at the end of each element what comes next.
 *
 * An element lasts one dit or three, and a dit's silence follows it (Recommendation ITU-R M.1677-1 (10/2009), Annex 1,
 * clause 2). Both paddles held alternate. A paddle touched while the other's element goes on is remembered for once.
 * Of the two usual ways (common practice) one ends with the element under way when both paddles are let go; the other
 * adds one more of the opposite kind.
 */

/** @import { Milliseconds } from './units.js' */
/** @typedef {'dit' | 'dah'} Paddle */
/** @typedef {'ends' | 'adds'} Way  when both paddles are let go during an element */
/** An element: it sounds from `onMs` to `offMs`, and the next one may begin at `endMs`.
 * @typedef {{ paddle: Paddle, onMs: Milliseconds, offMs: Milliseconds, endMs: Milliseconds }} Element */

/** Of a dit and its silence, how much sounds, in hundredths: by the recommendation half. */
export const EVEN_WEIGHT = 50;
export const WEIGHTS = Object.freeze({ low: 40, high: 60 });

/** @param {Paddle} paddle @returns {Paddle} */
const opposite = (paddle) => (paddle === 'dit' ? 'dah' : 'dit');

/**
 * @param {object} settings
 * @param {number} settings.wpm  a dot lasts 1200 ms over the words a minute by PARIS (common practice)
 * @param {number} [settings.weight]
 * @param {Way} [settings.way]
 */
export function createKeyer({ wpm, weight = EVEN_WEIGHT, way = 'ends' }) {
  const ditMs = 1200 / wpm;
  const held = { dit: false, dah: false };
  const remembered = { dit: false, dah: false };
  /** @type {Element | null} */
  let now = null;
  /** Before it nothing new begins: the silence after an element belongs to it. */
  let freeMs = -Infinity;

  /** @param {Paddle} paddle @param {Milliseconds} touchedMs @returns {Element} */
  function begin(paddle, touchedMs) {
    const atMs = Math.max(touchedMs, freeMs);
    remembered[paddle] = false;
    const longer = 2 * ditMs * (weight / 100 - 0.5); // taken from the silence
    const soundsMs = (paddle === 'dah' ? 3 : 1) * ditMs + longer;
    now = { paddle, onMs: atMs, offMs: atMs + soundsMs, endMs: atMs + soundsMs + ditMs - longer };
    freeMs = now.endMs;
    latch();
    return now;
  }

  /** In the way that adds, a paddle held at any moment of the other's element counts as touched in it. */
  function latch() {
    if (now === null || way !== 'adds') return;
    const other = opposite(now.paddle);
    if (held[other]) remembered[other] = true;
  }

  return Object.freeze({
    /** A paddle is touched. @param {Paddle} paddle @param {Milliseconds} atMs @returns {Element | null} what begins with it */
    down(paddle, atMs) {
      if (held[paddle]) return null;
      held[paddle] = true;
      if (now === null) return begin(paddle, atMs);
      if (paddle !== now.paddle) remembered[paddle] = true;
      return null;
    },
    /** @param {Paddle} paddle */
    up(paddle) {
      held[paddle] = false;
    },
    /** The element and its silence are over: what comes next, without a pause; null: nothing. @returns {Element | null} */
    next() {
      if (now === null) return null;
      const { paddle, endMs } = now;
      const other = opposite(paddle);
      if (remembered[other] || held[other]) return begin(other, endMs);
      if (held[paddle]) return begin(paddle, endMs);
      now = null;
      return null;
    },
    /** The fingers are off, whatever they were at. */
    rest() {
      held.dit = held.dah = remembered.dit = remembered.dah = false;
    },
  });
}
