/**
 * Tones on their way from a key to the class: numbered, in batches, kept until the room holds them. And where in the text
 * a hand is, by counting alone: what was keyed is read by nobody before the turn is over. Pure.
 */
import { elementsOf } from './alphabet.js';

/** @import { Milliseconds } from './units.js' */
/** @typedef {readonly [onMs: Milliseconds, offMs: Milliseconds]} Tone  after the turn's start */
/** Tones from number `first` on that the room does not hold; those before `sent` have gone out at `sentMs` of page time.
 * @typedef {{ first: number, tones: readonly Tone[], sent: number, sentMs: Milliseconds }} Waiting */

export const BATCH_EVERY_MS = 150;
/** Unanswered for so long, all goes out again. */
export const AGAIN_AFTER_MS = 3000;
const MOST_TONES = 200;
/** What the room takes: no hand is quicker, a trembling contact is. */
const QUICKEST_TONES = 30;
const SHORTEST_TONE_MS = 4;
const SHORTEST_GAP_MS = 1.5;

/** @type {Waiting} */
export const NOTHING = Object.freeze({ first: 0, tones: [], sent: 0, sentMs: 0 });

/**
 * @param {Waiting} waiting
 * @param {Tone} tone
 * @returns {Waiting} the same where it is no tone of a hand
 */
export function withTone(waiting, [onMs, offMs]) {
  const last = waiting.tones[waiting.tones.length - 1];
  const after = last === undefined ? 0 : last[1] + SHORTEST_GAP_MS;
  if (!(onMs >= after && offMs >= onMs + SHORTEST_TONE_MS)) return waiting;
  return { ...waiting, tones: [...waiting.tones, [onMs, offMs]] };
}

/** Whether a tone that begins now would be one too many in a second. @param {readonly Milliseconds[]} begun @param {Milliseconds} onMs */
export const isFlood = (begun, onMs) => begun.length >= QUICKEST_TONES - 1 && onMs - begun[begun.length - QUICKEST_TONES + 1] < 1000;

/** The room holds so many tones of the turn. @param {Waiting} waiting @param {number} kept @returns {Waiting} */
export function withKept(waiting, kept) {
  if (kept <= waiting.first) return waiting;
  const gone = Math.min(kept - waiting.first, waiting.tones.length);
  return { ...waiting, first: kept, tones: waiting.tones.slice(gone), sent: Math.max(waiting.sent, kept) };
}

/**
 * What is to go out now: what has not, or all again where no answer came.
 * @param {Waiting} waiting
 * @param {Milliseconds} pageMs
 * @returns {{ waiting: Waiting, batch: { first: number, edges: number[] } | null }} as it is once the batch has gone out
 */
export function batchAt(waiting, pageMs) {
  const isLate = waiting.sent > waiting.first && pageMs - waiting.sentMs > AGAIN_AFTER_MS;
  const from = isLate ? waiting.first : Math.max(waiting.first, waiting.sent);
  const tones = waiting.tones.slice(from - waiting.first, from - waiting.first + MOST_TONES);
  if (tones.length === 0) return { waiting, batch: null };
  const edges = tones.flat().map((ms) => Math.round(ms * 10) / 10);
  return { waiting: { ...waiting, sent: from + tones.length, sentMs: pageMs }, batch: { first: from, edges } };
}

/** A text as words with how many tones each takes. @param {string} text */
export function wordsOf(text) {
  const words = text === '' ? [] : text.split(' ');
  return words.map((word) => ({ word, tones: [...word].reduce((sum, sign) => sum + elementsOf(sign).length, 0) }));
}

/**
 * The word that a hand is at after so many tones; the number of words when all are sent.
 * @param {readonly { tones: number }[]} words
 * @param {number} keyed
 */
export function wordAt(words, keyed) {
  let before = 0;
  for (const [index, { tones }] of words.entries()) {
    before += tones;
    if (keyed < before) return index;
  }
  return words.length;
}

/** How many tones all words before this one take. @param {readonly { tones: number }[]} words @param {number} word */
export const tonesBefore = (words, word) => words.slice(0, word).reduce((sum, { tones }) => sum + tones, 0);
