/** What may be sent to a class, in the words that people choose it by. What each is stands in the wire's PURPOSES. Pure. */
import { PURPOSES } from '../wire.js';

/** @typedef {import('../wire.js').StepOut['purpose']} Purpose */
/** @typedef {import('../wire.js').ToServer['compose']['purpose']} Composed  what the instructor can compose */

/** @type {Readonly<Record<Composed, { name: string, hint: string, count: number }>>} */
export const COMPOSED = Object.freeze({
  listen: { name: 'Sound check', hint: 'A few short sounds: does the whole room hear them as one?', count: 6 },
  meet: { name: 'New sound', hint: 'To meet a sound by ear: it comes many times, another one now and then. It joins the known ones.', count: 12 },
  one: { name: 'One sound', hint: 'The same sound a few times, now.', count: 3 },
  apart: { name: 'Tell apart', hint: 'Two or three sounds that get mixed up, close together.', count: 40 },
  mix: { name: 'Mix', hint: 'The chosen sounds in groups, each about equally often.', count: 60 },
  words: { name: 'Words', hint: 'Words made of the chosen sounds alone.', count: 60 },
  calls: { name: 'Practice calls', hint: 'Invented call signs made of the chosen sounds; not for the air.', count: 40 },
  sentences: { name: 'Sentences', hint: 'Short sentences made of the chosen sounds alone.', count: 60 },
  contact: { name: 'Practice contact', hint: 'An invented contact in on-air style, with invented calls; not for the air.', count: 100 },
  message: { name: 'Practice messages', hint: 'Formal messages with number, count of groups, address, text and signature; all invented.', count: 60 },
  own: { name: 'Own text', hint: 'What you write here is sent as it stands.', count: 1 },
});

/** Invented traffic is called practice wherever it is shown: a call may by accident belong to somebody.
 * @type {Readonly<Partial<Record<Purpose, string>>>} */
const NOTES = Object.freeze({
  calls: 'Practice calls, all invented.',
  contact: 'A practice contact, all invented.',
  message: 'Practice messages, all invented.',
});

/** @param {Purpose | undefined} purpose  of the run at hand @returns {string} "" where nothing has to be said */
export const practiceNote = (purpose) => (purpose === undefined ? '' : NOTES[purpose] ?? '');

/** Sent to be met, not to be copied: not counted, and the name may be seen. @param {Purpose} purpose */
export const isShown = (purpose) => PURPOSES[purpose].shown;

/** @param {Purpose} purpose */
export const takesOne = (purpose) => PURPOSES[purpose].takes === 'one';

/** @param {Purpose} purpose */
export const takesMany = (purpose) => PURPOSES[purpose].takes === 'many';

/** @param {Purpose} purpose */
export const takesNone = (purpose) => PURPOSES[purpose].takes === 'none';

/** Whether its groups are made to measure; words and calls have their own. @param {Purpose} purpose */
export const isGrouped = (purpose) => PURPOSES[purpose].grouped;

/** What composes one like it: what is made for an evening is a mix. @param {Purpose} purpose */
export const composedAs = (purpose) => /** @type {Composed} */ (PURPOSES[purpose].composed ? purpose : 'mix');
