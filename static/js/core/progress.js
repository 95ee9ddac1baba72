/**
 * A course over its meetings: the figures behind the curves and the table, in the order of the alphabet, never of rank. Pure.
 */
import { inTableOrder } from './alphabet.js';
import { percent } from './units.js';

/** @import { CourseProgressOut, MeetingProgress } from '../wire.js' */

/** Right of so many sendings, with the interval of the share; null where nothing was sent.
 * @typedef {{ right: number, of: number, low: number, high: number, enough: boolean } | null} Figure */
/** One line over the meetings. @typedef {{ key: string, name: string, figures: Figure[] }} Row */

/** Meetings in which something was counted. @param {CourseProgressOut} progress @returns {MeetingProgress[]} */
export const heldOf = ({ meetings }) => meetings.filter(({ recall, seats }) => recall.length > 0 || seats.length > 0);

/** @param {readonly (string | number | boolean)[] | undefined} row  [key, right, sendings, low, high, enough] @returns {Figure} */
function figureOf(row) {
  if (row === undefined || Number(row[2]) === 0) return null;
  const [, right, of, low, high, enough] = row;
  return { right: Number(right), of: Number(of), low: Number(low), high: Number(high), enough: enough !== false };
}

/** The class's recall of each symbol, meeting by meeting. @param {readonly MeetingProgress[]} meetings @returns {Row[]} */
export function symbolRows(meetings) {
  const signs = inTableOrder(meetings.flatMap(({ recall }) => recall.map(([sign]) => String(sign))));
  return signs.map((sign) => ({
    key: sign, name: sign, figures: meetings.map(({ recall }) => figureOf(recall.find((row) => row[0] === sign))),
  }));
}

/** How much of the course's sounds each learner knew, by name, after the class as a whole. @param {CourseProgressOut} progress
 * @param {readonly { seats: readonly (readonly number[])[] }[]} meetings  or speeds
 * @returns {Row[]} */
export function learnerRows(progress, meetings) {
  const byName = [...progress.seats].sort((a, b) => Number(b.seat === 0) - Number(a.seat === 0)
    || a.name.localeCompare(b.name) || a.seat - b.seat);
  return byName
    .map(({ seat, name }) => ({
      key: String(seat), name, figures: meetings.map(({ seats }) => figureOf(seats.find((row) => row[0] === seat))),
    }))
    .filter(({ figures }) => figures.some((figure) => figure !== null));
}

/** The share of a figure. @param {NonNullable<Figure>} figure */
const shareOf = ({ right, of }) => right / of;

/** A figure as the table says it: "88 (80 to 93)"; "" where nothing was sent. @param {Figure} figure */
export function inFigures(figure) {
  return figure === null ? '' : `${percent(shareOf(figure))} (${percent(figure.low)} to ${percent(figure.high)})`;
}

/** How many sounds of the course are known, as the table says it: "3.1 (2.4 to 3.6)". @param {NonNullable<Figure>} figure */
export const inSounds = ({ right, of, low, high }) => `${right.toFixed(1)} (${(low * of).toFixed(1)} to ${(high * of).toFixed(1)})`;

/**
 * What a chart draws, from the back to the front: places, both ends of the intervals and the shares in percent, null where
 * there is none.
 * @param {readonly Figure[]} figures
 * @returns {[number[], (number | null)[], (number | null)[], (number | null)[]]}
 */
export function curveOf(figures) {
  const all = (/** @type {(figure: NonNullable<Figure>) => number} */ read) =>
    figures.map((figure) => (figure === null ? null : 100 * read(figure)));
  return [figures.map((_, i) => i), all(({ low }) => low), all(({ high }) => high), all(shareOf)];
}
