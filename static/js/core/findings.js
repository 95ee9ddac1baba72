/** What the server's evidence says, in the form that the table and the sentences need. Pure. */

/** @import { EvidenceOut, FindingsOut, PairOut } from '../wire.js' */
/** @import { Tables } from './tables.js' */
/** @typedef {'run' | 'evening' | 'course'} Scope */

/** @typedef {{ right: number, sendings: number, low: number, high: number, enough: boolean }} Recall */

/**
 * The evidence that belongs to the table of this scope; null while copies still come in, when the one does not yet
 * know what the other shows.
 * @param {FindingsOut | null} findings
 * @param {Tables | null} table
 * @param {Scope} scope
 * @returns {EvidenceOut | null}
 */
export function evidenceFor(findings, table, scope) {
  if (findings === null || table === null || !table.final || findings.push !== table.push) return null;
  return findings[scope];
}

/** What a sentence or a figure is of, for it to say so. @type {Readonly<Record<Scope, string>>} */
export const SCOPE_WORDS = Object.freeze({ run: 'in this run', evening: 'this evening', course: 'over the course' });

/** Per sign, how much of it was heard right. @param {EvidenceOut | null} evidence @returns {Map<string, Recall>} */
export function recallOf(evidence) {
  return new Map((evidence?.recall ?? []).map(([sign, right, sendings, low, high, enough]) => [String(sign), {
    right: Number(right), sendings: Number(sendings), low: Number(low), high: Number(high), enough: Boolean(enough),
  }]));
}

const IN_WORDS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];

/** "9 of 42, six learners" @param {PairOut} pair */
export function pairFigures({ n, sendings, learners, back, back_sendings: backSendings }) {
  const other = backSendings > 0 ? `; the other way round ${back} of ${backSendings}` : '';
  return `${n} of ${sendings}, ${IN_WORDS[learners] ?? learners} ${learners === 1 ? 'learner' : 'learners'}${other}`;
}
