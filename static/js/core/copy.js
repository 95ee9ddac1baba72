/**
 * What this learner wrote for one push: marks, made by strokes. Pure. The server folds the same strokes in the same
 * way (its `room/copies.py`), so both hold the same marks.
 */
import { SYMBOLS } from './alphabet.js';

/** @import { Milliseconds } from './units.js' */
/** @import { Key } from '../wire.js' */
/** @typedef {{ sign: string, at_ms: Milliseconds | null }} Mark  one written sign; no time for one put in later */

export const BLANK = '_';
/** Marks stand in groups of five on the sheet. */
export const GROUP = 5;
const MOST_MARKS = 3000;

const KNOWN = new Set(SYMBOLS.map((symbol) => symbol.sign));

/** What keyboards and papers have in place of a sign of the code. @type {Readonly<Record<string, string>>} */
const ALIKE = Object.freeze({
  '’': "'", '‘': "'", '“': '"', '”': '"', '„': '"', '–': '-', '—': '-', '−': '-', '×': 'X', '÷': ':',
});

/**
 * The sign for one typed character.
 * @param {string} character
 * @returns {string} the sign, `BLANK` for "_", "" for what is no symbol of the code
 */
export function signOf(character) {
  const sign = (ALIKE[character] ?? character).normalize('NFC').toUpperCase();
  return sign === BLANK || KNOWN.has(sign) ? sign : '';
}

/**
 * The signs of a sheet that was keyed in: spaces say nothing, "_" is a blank.
 * @param {string} text
 * @returns {{ signs: string, unknown: string[] }}
 */
export function readSheet(text) {
  let signs = '';
  const unknown = new Set();
  for (const character of text.normalize('NFC')) {
    const sign = signOf(character);
    if (sign !== '') signs += sign;
    else if (character.trim() !== '') unknown.add(character);
  }
  return { signs, unknown: [...unknown] };
}

/**
 * The marks after one more stroke; a stroke at a place that does not exist changes nothing.
 * @param {readonly Mark[]} marks
 * @param {Key} key
 * @returns {readonly Mark[]}
 */
export function written(marks, { at_ms, sign = '', change, before, erase }) {
  const place = change ?? before ?? erase;
  if (place === undefined) return marks.length < MOST_MARKS ? [...marks, { sign, at_ms }] : marks;
  if (place >= marks.length) return marks;
  if (erase !== undefined) return marks.filter((_, i) => i !== place);
  if (change !== undefined) return marks.map((mark, i) => (i === place ? { ...mark, sign } : mark));
  if (marks.length >= MOST_MARKS) return marks;
  return [...marks.slice(0, place), { sign, at_ms: null }, ...marks.slice(place)];
}

/** @param {readonly Mark[]} marks */
export function signsOf(marks) {
  return marks.map((mark) => mark.sign).join('');
}

/**
 * The strokes that turn one sheet into another: what both begin and end with stays.
 * @param {string} from  signs
 * @param {string} to  signs
 * @param {Milliseconds} atMs
 * @returns {Key[]}
 */
export function strokesBetween(from, to, atMs) {
  let head = 0;
  while (head < Math.min(from.length, to.length) && from[head] === to[head]) head += 1;
  let tail = 0;
  while (tail < Math.min(from.length, to.length) - head && from.at(-1 - tail) === to.at(-1 - tail)) tail += 1;
  const [gone, come] = [from.length - head - tail, to.length - head - tail];
  /** @type {Key[]} */
  const keys = [];
  for (let i = 0; i < Math.min(gone, come); i += 1) keys.push({ at_ms: atMs, sign: to[head + i], change: head + i });
  for (let i = gone; i > come; i -= 1) keys.push({ at_ms: atMs, erase: head + i - 1 });
  for (let i = gone; i < come; i += 1) {
    keys.push({ at_ms: atMs, sign: to[head + i], ...(tail > 0 ? { before: head + i } : {}) });
  }
  return keys;
}

/**
 * @template Item
 * @param {readonly Item[]} items
 * @param {number} [size]
 * @returns {Item[][]} groups of five
 */
export function grouped(items, size = GROUP) {
  const groups = [];
  for (let i = 0; i < items.length; i += size) groups.push(items.slice(i, i + size));
  return groups;
}
