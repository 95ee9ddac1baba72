/** Orders of rows and columns of the class table. Pure. */
import { inTableOrder } from './alphabet.js';

/** @typedef {'alphabet' | 'likeness' | 'need'} Order */

/**
 * The symbols among the signs, in the table's own order, or so that sounds that are easily mixed up stand side by side
 * and confusions gather near the diagonal, or what the class needs most first.
 * @param {Iterable<string>} signs
 * @param {Order} order
 * @param {string} alike  all symbols by likeness, as the room tells
 * @param {ReadonlyMap<string, number>} [heard]  share heard right, by sign; what was not sent yet comes last
 * @returns {string[]}
 */
export function inOrder(signs, order, alike, heard = new Map()) {
  const sorted = inTableOrder(signs);
  if (order === 'alphabet') return sorted;
  if (order === 'need') return sorted.sort((a, b) => (heard.get(a) ?? Infinity) - (heard.get(b) ?? Infinity) || 0);
  const place = new Map([...alike].map((sign, index) => [sign, index]));
  return sorted.sort((a, b) => (place.get(a) ?? Infinity) - (place.get(b) ?? Infinity));
}
