/**
 * A key on this page: fingers in, sidetone and tones out. One key is as long as it is held; two keys have an electronic
 * keyer behind them (core/keyer.js), whose elements are set ahead by the audio's own clock.
 */
import { createKeyer } from '../core/keyer.js';
import { isFlood } from '../core/keying.js';

/** @import { Milliseconds } from '../core/units.js' */
/** @import { Element, Paddle, Way } from '../core/keyer.js' */
/** @typedef {ReturnType<typeof createKey>} Key */
/** @typedef {{ wpm: number, weight: number, way: Way }} KeyerSettings */

/** An element is decided on so long before it is due: a timer may come late by that. */
const AHEAD_MS = 25;

/**
 * @param {object} wiring
 * @param {Pick<import('./sidetone.js').Sidetone, 'edge' | 'atPage'>} wiring.sidetone
 * @param {(onMs: Milliseconds, offMs: Milliseconds) => void} wiring.onTone  a whole tone, in page time
 * @param {(isDown: boolean) => void} wiring.onDown
 * @param {() => void} wiring.onFlood  no hand is that quick: the key stays silent for this once
 */
export function createKey({ sidetone, onTone, onDown, onFlood }) {
  /** @type {Milliseconds | null} */
  let downMs = null;
  /** @type {Milliseconds[]} */
  let begun = [];

  /** @param {Milliseconds} atMs */
  function mayBegin(atMs) {
    if (isFlood(begun, atMs)) {
      onFlood();
      return false;
    }
    begun = [...begun.slice(-40), atMs];
    return true;
  }

  /** @param {Milliseconds} atMs */
  function press(atMs) {
    if (downMs !== null || !mayBegin(atMs)) return;
    sidetone.edge(true);
    downMs = atMs;
    onDown(true);
  }

  /** @param {Milliseconds} atMs */
  function lift(atMs) {
    if (downMs === null) return;
    sidetone.edge(false);
    onTone(downMs, atMs);
    downMs = null;
    onDown(false);
  }

  const paddles = createPaddles({ sidetone, onTone, onDown, mayBegin });
  return Object.freeze({
    press,
    lift,
    ...paddles,
    /** The fingers are off: the page was left, or something else took the keyboard. */
    rest() {
      lift(performance.now());
      paddles.letGo();
    },
  });
}

/**
 * @param {Pick<Parameters<typeof createKey>[0], 'sidetone' | 'onTone' | 'onDown'> & { mayBegin: (atMs: number) => boolean }} wiring
 */
function createPaddles({ sidetone, onTone, onDown, mayBegin }) {
  let keyer = createKeyer({ wpm: 14 });
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  /** Both clocks at the first element of a row: the page's is read too coarsely to be compared at each. */
  let rowMs = 0;
  let rowS = 0;

  /** @param {Element} element */
  function sound(element) {
    const atS = (/** @type {Milliseconds} */ ms) => rowS + (ms - rowMs) / 1000;
    sidetone.edge(true, atS(element.onMs));
    sidetone.edge(false, atS(element.offMs));
    onTone(element.onMs, element.offMs);
    onDown(true);
    timer = setTimeout(() => goOn(), element.endMs - performance.now() - AHEAD_MS);
  }

  function goOn() {
    const element = keyer.next();
    if (element !== null) sound(element);
    else onDown(false);
  }

  return {
    /** @param {Paddle} paddle @param {Milliseconds} atMs */
    touch(paddle, atMs) {
      const element = keyer.down(paddle, atMs);
      if (element === null || !mayBegin(atMs)) return;
      rowMs = element.onMs;
      rowS = sidetone.atPage(rowMs);
      sound(element);
    },
    /** @param {Paddle} paddle */
    release: (paddle) => keyer.up(paddle),
    letGo: () => keyer.rest(),
    /** @param {KeyerSettings} settings */
    setKeyer(settings) {
      clearTimeout(timer);
      keyer = createKeyer(settings);
    },
  };
}
