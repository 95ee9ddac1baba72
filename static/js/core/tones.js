/** Tones outside a run: one symbol by itself, two to compare. Pure. */
import { elementsOf } from './alphabet.js';

/** @import { Milliseconds } from './units.js' */
/** @typedef {{ sign: string, startMs: Milliseconds, endMs: Milliseconds }} Heard */

const BETWEEN_MS = 700;

/**
 * The tones of one symbol. A dash lasts three dots, the gap between elements one (Recommendation ITU-R M.1677-1
 * (10/2009), Annex 1, clause 2); a dot
 * lasts 1200 ms over the words a minute by PARIS, which is 50 dots long (common practice).
 * @param {string} sign
 * @param {number} wpm
 * @param {Milliseconds} [fromMs]
 * @returns {Milliseconds[]} on, off, on, off ...
 */
export function tonesOf(sign, wpm, fromMs = 0) {
  const dotMs = 1200 / wpm;
  /** @type {Milliseconds[]} */
  const edges = [];
  let atMs = fromMs;
  for (const element of elementsOf(sign)) {
    const endMs = atMs + (element === '-' ? 3 * dotMs : dotMs);
    edges.push(atMs, endMs);
    atMs = endMs + dotMs;
  }
  return edges;
}

/**
 * Symbols one after the other, far enough apart to be told apart.
 * @param {string} signs
 * @param {number} wpm
 * @returns {{ edges: Milliseconds[], heard: Heard[] }}
 */
export function inTurn(signs, wpm) {
  /** @type {Milliseconds[]} */
  const edges = [];
  /** @type {Heard[]} */
  const heard = [];
  for (const sign of signs) {
    const startMs = edges.length === 0 ? 0 : edges[edges.length - 1] + BETWEEN_MS;
    const tones = tonesOf(sign, wpm, startMs);
    if (tones.length === 0) continue;
    edges.push(...tones);
    heard.push({ sign, startMs, endMs: tones[tones.length - 1] });
  }
  return { edges, heard };
}
