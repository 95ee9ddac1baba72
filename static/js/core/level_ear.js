/**
 * Tones out of loudness: when a key that comes in as sound went down and up. Pure.
 *
 * Quiet and loud are followed as they change; a tone begins and ends where its loudness passes half of what lies between
 * them (so a slow rise does not alter its length), and what is shorter than a contact's tremble is none.
 */

/** @import { Milliseconds } from './units.js' */
/** @typedef {{ isDown: boolean, atMs: Milliseconds }} Edge */

/** The loud must stand so far above the quiet to be a key at all. */
const CLEAR = 4;
/** Below this no input is taken for anything: a cable that nobody plugged in has its noise, too. */
const FAINTEST = 0.004;
/** So long an input is only listened to, from its first noise on: an input that opens is silent first. @type {Milliseconds} */
const LEARN_MS = 300;
const DIGITAL_SILENCE = 1e-6;
/** A change must hold so long; what is shorter is a tremble. @type {Milliseconds} */
const HOLD_MS = 8;
/** So quickly the loud is forgotten, and the quiet let rise, by half. @type {Milliseconds} */
const FORGET_MS = 6000;

export function createEar() {
  let [quiet, loud] = [Infinity, 0];
  let learntMs = 0;
  let isDown = false;
  /** @type {{ level: number, atMs: Milliseconds } | null} */
  let before = null;
  /** @type {Edge | null} */
  let pending = null;

  /** @param {number} level @param {Milliseconds} passedMs @returns {boolean} whether enough is known to tell tones */
  function follow(level, passedMs) {
    if (learntMs < LEARN_MS) {
      if (level < DIGITAL_SILENCE) return false;
      quiet = loud = Math.max(level, loud);
      learntMs += passedMs;
      return false;
    }
    const kept = 2 ** (-passedMs / FORGET_MS);
    loud = Math.max(level, loud * kept);
    quiet = Math.min(level, quiet / kept + 1e-9);
    return true;
  }

  /** Where it passed half between two looks. @param {{ level: number, atMs: number }} from @param {number} level @param {number} atMs @param {number} half */
  const crossing = (from, level, atMs, half) =>
    from.atMs + Math.min(1, Math.max(0, (half - from.level) / (level - from.level || 1))) * (atMs - from.atMs);

  return Object.freeze({
    /**
     * @param {number} level  root mean square around this instant
     * @param {Milliseconds} atMs
     * @returns {Edge | null} an edge that is sure by now, with its own time
     */
    hear(level, atMs) {
      const from = before ?? { level, atMs };
      before = { level, atMs };
      if (!follow(level, atMs - from.atMs)) return null;
      const half = quiet + (loud - quiet) / 2;
      const isClear = loud > FAINTEST && loud > CLEAR * quiet;
      const isLoud = isClear && level > half;
      if (isLoud === isDown) {
        pending = null;
        return null;
      }
      pending ??= { isDown: isLoud, atMs: crossing(from, level, atMs, half) };
      if (atMs - pending.atMs < HOLD_MS) return null;
      const edge = pending;
      isDown = isLoud;
      pending = null;
      return edge;
    },
    /** Whether there is something that could be a key. */
    isClear: () => loud > FAINTEST && loud > CLEAR * quiet,
  });
}
