/** An order of sounds while the instructor works on it. Pure. */
import { SYMBOLS, symbolOf } from './alphabet.js';
import { BLANK, readSheet } from './copy.js';

const OVERLINE = '\u0305';

/** @import { ExtentOut, ShowCourseIn as CourseDraft } from '../wire.js' */

/**
 * A sound at another place. In a computed order it is pinned there, and the rest is worked out around it; an order of
 * one's own is simply rearranged.
 * @param {CourseDraft} draft
 * @param {string} order  as it stands
 * @param {string} sign
 * @param {number} place
 * @returns {CourseDraft}
 */
export function movedInCourse(draft, order, sign, place) {
  if (place < 0 || place >= order.length) return draft;
  if (draft.emphasis === 'own') {
    const rest = [...order].filter((other) => other !== sign);
    rest.splice(place, 0, sign);
    return { ...draft, signs: rest.join(''), pins: [] };
  }
  const others = draft.pins.filter((pin) => pin.sign !== sign).map((pin) => (pin.place === place
    ? { ...pin, place: order.indexOf(sign) } : pin)); // two pins side by side change places
  return { ...draft, signs: order, pins: [...others, { sign, place }] };
}

/** @param {CourseDraft} draft @param {string} order @param {string} sign @returns {CourseDraft} */
export function pinnedOrNot(draft, order, sign) {
  const others = draft.pins.filter((pin) => pin.sign !== sign);
  const pins = others.length < draft.pins.length ? others : [...others, { sign, place: order.indexOf(sign) }];
  return { ...draft, signs: order, pins };
}

/** The order without a sound; pins behind it move up. @param {CourseDraft} draft @param {string} order @param {string} sign @returns {CourseDraft} */
export function withoutSign(draft, order, sign) {
  const gone = order.indexOf(sign);
  return {
    ...draft,
    signs: [...order].filter((other) => other !== sign).join(''),
    pins: draft.pins.filter((pin) => pin.sign !== sign).map((pin) => ({ ...pin, place: pin.place > gone ? pin.place - 1 : pin.place })),
  };
}

/** Which of the extents an order covers, whatever its order; '' for none. @param {readonly ExtentOut[]} extents @param {string} order */
export function extentOf(extents, order) {
  const sorted = (/** @type {string} */ signs) => [...signs].sort().join('');
  return extents.find(({ signs }) => sorted(signs) === sorted(order))?.title ?? '';
}

/** A computed course that covers one of the extents; pins that it has no place for go. @param {CourseDraft} draft @param {readonly ExtentOut[]} extents @param {string} title @returns {CourseDraft} */
export function covering(draft, extents, title) {
  const signs = extents.find((extent) => extent.title === title)?.signs ?? draft.signs;
  return { ...draft, signs, pins: draft.pins.filter((pin) => signs.includes(pin.sign) && pin.place < signs.length) };
}

/**
 * What to say when the meetings that are left cannot bring in all sounds; '' when they can.
 * @param {string} order
 * @param {string} known
 * @param {number} left  meetings, tonight's among them
 * @param {number} mostNew  new sounds a meeting, at most
 */
export function tooShort(order, known, left, mostNew) {
  const untaught = [...order].filter((sign) => !known.includes(sign)).length;
  const needed = Math.ceil(untaught / mostNew);
  if (needed <= left) return '';
  const meetings = left === 1 ? 'one meeting is' : left < 1 ? 'no meeting is' : `${left} meetings are`;
  return `Too short: ${untaught} sounds are still to be met, at most ${mostNew} a meeting. That takes ${needed} meetings; ${meetings} left.`;
}

/** An order to be edited: joined signals that have no printed mark as letters under overlines. @param {string} order */
export function orderAsText(order) {
  return [...order].map((sign) => {
    const symbol = symbolOf(sign);
    return symbol?.kind === 'signal' ? [...symbol.joined].map((letter) => letter + OVERLINE).join('') : sign;
  }).join(' ');
}

/**
 * The distinct sounds of an order typed or pasted in, and what is none.
 * @param {string} text
 * @returns {{ signs: string, unknown: string[] }}
 */
export function readOrder(text) {
  const joined = text.toUpperCase().replace(new RegExp(`(?:[A-Z]${OVERLINE})+`, 'g'), (letters) => {
    const name = letters.replaceAll(OVERLINE, '');
    return SYMBOLS.find((symbol) => symbol.joined === name)?.sign ?? letters;
  });
  const { signs, unknown } = readSheet(joined);
  return { signs: [...new Set(signs.replaceAll(BLANK, ''))].join(''), unknown };
}
