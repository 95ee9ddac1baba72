/** A check in words and rows. Pure. */

/** @import { CheckForm, CheckPassing, CheckResult } from '../../wire.js' */
/** @typedef {{ number: number, sent: string, written: string, verdict: string, inRun: boolean, right: boolean, reason: string }} Row */

const VERDICTS = Object.freeze({ r: 'right', w: 'wrong', m: 'missing', x: 'too many', f: 'forgiven' });

/** @param {number} n @param {string} noun */
export const counted = (n, noun) => `${n} ${noun}${n === 1 ? '' : 's'}`;

/** What passes, in a sentence. @param {CheckPassing} way @param {number} wpm */
export function passing({ kind, amount, of }, wpm) {
  if (kind === 'errors') return amount === 0 ? 'no error in the whole' : `at most ${counted(amount, 'error')}`;
  if (kind === 'unbroken') return `${Math.round(5 * wpm * amount)} counted characters in a row without an error`;
  if (kind === 'questions') return `${amount} of ${of} questions on the text`;
  if (kind === 'share') return `${Math.round(100 * amount)} % of the counted characters`;
  return `${counted(amount, 'word')} right`;
}

/** The rule of a form in a few lines. @param {CheckForm} form @param {number} wpm @returns {string[]} */
export function ruleOf(form, wpm) {
  const speed = form.speed_is === 'counted' ? 'by counted characters, five a word' : 'of the keying (PARIS)';
  const length = form.words > 0 ? counted(form.words, 'word') : `${form.counted || Math.round(5 * wpm * form.minutes)} counted characters`;
  return [
    `${wpm} wpm ${speed}; ${length}`,
    `A letter counts ${form.letter}, a figure ${form.figure}, a punctuation mark ${form.punctuation}, a signal ${form.signal}`,
    `Passes with ${form.passes.map((way) => passing(way, wpm)).join(', or ')}`,
    `${form.tidy_s} s to tidy up`,
  ];
}

/** A marked copy as rows, one a decision, as the examiner has it. @param {CheckResult} result @returns {Row[]} */
export function rowsOf({ sent, written, verdicts, run_from: from, run_to: to, overruled }) {
  const said = new Map(overruled.map((one) => [one.number, one]));
  return [...verdicts].map((letter, number) => ({
    number,
    sent: [...sent][number].trim(),
    written: [...written][number].trim(),
    verdict: VERDICTS[/** @type {keyof typeof VERDICTS} */ (letter)],
    inRun: number >= from && number < to,
    right: said.get(number)?.right ?? (letter === 'r' || letter === 'f'),
    reason: said.get(number)?.reason ?? '',
  }));
}

/** A row aloud, and as a title. @param {Row} row */
export function spokenRow({ sent, written, verdict, reason, right }) {
  const what = sent === '' ? `${written} beside the text` : `${sent}, ${written === '' || written === '_' ? 'nothing written' : `${written} written`}`;
  return `${what}: ${verdict}${reason === '' ? '' : `; the examiner: ${right ? 'right' : 'an error'}, ${reason}`}`;
}
