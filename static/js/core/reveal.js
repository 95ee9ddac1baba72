/** A learner's own copy under what was sent, laid out in columns; and what may be said of it. Pure. */

/** @import { RevealOut as Reveal } from '../wire.js' */
/** @typedef {'right' | 'other' | 'blank' | 'missed' | 'unheard' | 'extra' | 'aside'} Kind */

/**
 * One column: what was sent over what was written.
 * @typedef {object} Column
 * @property {Kind} kind
 * @property {string} sent  "" over an extra mark
 * @property {string} written  "" where nothing was written
 */

const LONGEST_GROUP = 10;
const BREAK_AT = 5;

/**
 * Columns in the text's own groups; a longer stretch without a gap is cut into fives. An extra mark stands where it
 * was written: after the symbol that the mark before it answers.
 * @param {Reveal} reveal
 * @returns {Column[][]}
 */
export function groupsOf(reveal) {
  const columns = columnsOf(reveal);
  /** @type {Column[][]} */
  const groups = [];
  let index = 0;
  let after = 0;
  for (const word of reveal.text.split(' ')) {
    const length = Math.min([...word].length, reveal.sent - index);
    if (length <= 0) break;
    const size = length > LONGEST_GROUP ? BREAK_AT : length;
    for (let end = index + Math.min(size, length); ; end = Math.min(end + size, index + length)) {
      const upTo = end === reveal.sent ? columns.length : columns.findIndex((column) => column.index === end);
      groups.push(columns.slice(after, upTo).map(({ kind, sent, written }) => ({ kind, sent, written })));
      after = upTo;
      if (end >= index + length) break;
    }
    index += length;
  }
  return groups;
}

/** @param {Reveal} reveal @returns {(Column & { index: number })[]} in order; an extra mark has the index -1 */
function columnsOf({ text, sent: count, marks, answers, unheard, aside_from: asideFrom }) {
  const sent = [...text.replaceAll(' ', '')].slice(0, count);
  const silent = new Set(unheard);
  /** @type {Map<number, string>} */
  const answerTo = new Map();
  /** Extra marks by the symbol they come after; -1 before all. @type {Map<number, string[]>} */
  const extras = new Map();
  let last = -1;
  [...marks].forEach((sign, i) => {
    const index = answers[i] ?? null;
    if (index === null) extras.set(last, [...(extras.get(last) ?? []), sign]);
    else answerTo.set((last = index), sign);
  });
  const extraColumns = (/** @type {number} */ index) =>
    (extras.get(index) ?? []).map((written) => ({ kind: /** @type {Kind} */ ('extra'), sent: '', written, index: -1 }));
  return [
    ...extraColumns(-1),
    ...sent.flatMap((sign, index) => {
      const written = answerTo.get(index) ?? '';
      const isAside = asideFrom !== null && index >= asideFrom;
      return [{ kind: isAside ? 'aside' : kindOf(sign, written, silent.has(index)), sent: sign, written, index }, ...extraColumns(index)];
    }),
  ];
}

/** @param {string} sent @param {string} written @param {boolean} unheard @returns {Kind} */
function kindOf(sent, written, unheard) {
  if (unheard) return 'unheard';
  if (written === '') return 'missed';
  if (written === '_') return 'blank';
  return written === sent ? 'right' : 'other';
}

/** How much of a sheet was right; 0 of 0 would be a figure of nothing. @param {Pick<Reveal, 'right' | 'of'>} reveal */
export const scoreWords = ({ right, of }) => (of === 0 ? 'Not counted' : `${right} of ${of} heard right`);

/** Of a run, the last part: who still answered there went on to the end. */
const END = 0.1;

/** What the copy is worth a word for, first of all what went well; nothing that is not so. @param {Reveal} reveal */
export function encouragement(reveal) {
  const { right, of, marks, answers, aside_from: asideFrom } = reveal;
  if (asideFrom !== null) return asideWords(reveal);
  if (of === 0) return 'This device did not sound in this run, so nothing was counted.';
  if (right === of) return answers.includes(null) ? 'Every sound is there, and a little more.' : 'Every sound, right.';
  if (right >= 0.85 * of) return 'That is solid copying.';
  const wentOn = wentToTheEnd(reveal);
  if (marks.includes('_') && wentOn) return 'You left blanks and went on: that is how copying is done.';
  if (right >= 0.5 * of) return 'More than half is there. The rest comes with listening, not with trying harder.';
  if (wentOn) return 'New sounds need many hearings. You went on to the end, and that is the habit that counts.';
  return 'New sounds need many hearings. Missed one? Leave a blank, and go on: that is the habit that counts.';
}

/** What does not count, and why; "" when all counts. @param {Reveal} reveal */
export function asideWords({ aside_from: from, aside_why: why }) {
  if (from === null) return '';
  return from === 0 ? `This run was set aside: ${why}.` : `From sound ${from + 1} on it was set aside: ${why}.`;
}

/** What came when this was shown already; "" when nothing did. @param {Pick<Reveal, 'late'>} reveal */
export const lateWords = ({ late }) =>
  (late === '' ? '' : `Came when this was shown already, and is not counted: ${[...late].join(' ')}`);

/** Whether something was written for one of the last sounds that were heard. @param {Reveal} reveal */
function wentToTheEnd({ sent, answers, unheard }) {
  const silent = new Set(unheard);
  const heard = Array.from({ length: sent }, (_, index) => index).filter((index) => !silent.has(index));
  const last = new Set(heard.slice(-Math.max(1, Math.round(END * heard.length))));
  return answers.some((index) => index !== null && last.has(index));
}
