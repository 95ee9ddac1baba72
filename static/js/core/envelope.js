/**
 * The samples of a symbol's tones. Pure.
 *
 * A tone rises and falls over EDGE_MS along ½(1 - cos(πt/T)), centred on the instants of its edges: lengths are
 * measured at half amplitude, so the shape does not alter 1 : 3. About 5 ms, smooth at both corners, keeps a tone
 * free of clicks (common practice; a handbook names 5 to 7 ms: W. G. Pierpont, The Art and Skill of Radio-Telegraphy,
 * 2nd rev. ed., ch. 24).
 *
 * The tones of a push are one sine keyed on and off, as from an oscillator: phase 0 at the push's start. They are
 * rendered here, instead of by gain curves on an OscillatorNode, because then every browser plays the same samples.
 */
import { MS_PER_S } from './units.js';

/** @import { Hertz, Milliseconds } from './units.js' */

/** @type {Milliseconds} */
export const EDGE_MS = 5;

/**
 * A whole rise: 0 at -EDGE_MS/2, ½ at 0, 1 at EDGE_MS/2.
 * @param {Milliseconds} sinceEdgeMs
 */
export function rise(sinceEdgeMs) {
  const part = Math.min(1, Math.max(0, sinceEdgeMs / EDGE_MS + 0.5));
  return 0.5 * (1 - Math.cos(Math.PI * part));
}

/**
 * @typedef {object} Tones
 * @property {readonly Milliseconds[]} edges  on, off, on, off ... after the push's start
 * @property {Hertz} pitchHz
 */

/**
 * How many samples cover the tones with their edges, when the first sample lies at `fromMs`.
 * @param {Tones} tones
 * @param {Milliseconds} fromMs
 * @param {Hertz} sampleRateHz
 */
export function sampleCount({ edges }, fromMs, sampleRateHz) {
  const endMs = edges[edges.length - 1] + EDGE_MS / 2;
  return Math.max(1, Math.ceil(((endMs - fromMs) * sampleRateHz) / MS_PER_S) + 1);
}

/**
 * Samples of the tones at full amplitude, the first one `fromMs` after the push's start.
 * @param {Tones} tones
 * @param {Milliseconds} fromMs  at or before the first edge's beginning; any fraction of a sample
 * @param {Hertz} sampleRateHz
 * @returns {Float32Array<ArrayBuffer>}
 */
export function samples(tones, fromMs, sampleRateHz) {
  const made = new Float32Array(sampleCount(tones, fromMs, sampleRateHz));
  const { edges, pitchHz } = tones;
  for (let edge = 0; edge < edges.length; edge += 2) {
    const [onMs, offMs] = [edges[edge], edges[edge + 1]];
    const first = Math.max(0, Math.ceil(((onMs - EDGE_MS / 2 - fromMs) * sampleRateHz) / MS_PER_S));
    const last = Math.min(made.length - 1, Math.floor(((offMs + EDGE_MS / 2 - fromMs) * sampleRateHz) / MS_PER_S));
    for (let k = first; k <= last; k += 1) {
      const atMs = fromMs + (k * MS_PER_S) / sampleRateHz;
      const amplitude = rise(atMs - onMs) * rise(offMs - atMs);
      made[k] += amplitude * Math.sin((2 * Math.PI * pitchHz * atMs) / MS_PER_S);
    }
  }
  return made;
}
