/** Orders of rows and columns of the class table. Pure. */
import { inTableOrder } from './alphabet.js';

/** @typedef {'alphabet' | 'likeness'} Order */

/**
 * The symbols among the signs, in the table's own order, or so that sounds that are easily mixed up stand side by side
 * and confusions gather near the diagonal.
 * @param {Iterable<string>} signs
 * @param {Order} order
 * @param {string} alike  all symbols by likeness, as the room tells
 * @returns {string[]}
 */
export function inOrder(signs, order, alike) {
  const sorted = inTableOrder(signs);
  if (order === 'alphabet') return sorted;
  const place = new Map([...alike].map((sign, index) => [sign, index]));
  return sorted.sort((a, b) => (place.get(a) ?? Infinity) - (place.get(b) ?? Infinity));
}
