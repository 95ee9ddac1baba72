/** Invented traffic is called practice wherever it is shown: a call may by accident belong to somebody. Pure. */

/** @typedef {import('../wire.js').PushOut['purpose']} Purpose */

/** @type {Readonly<Partial<Record<Purpose, string>>>} */
const NOTES = Object.freeze({
  calls: 'Practice calls, all invented.',
  contact: 'A practice contact, all invented.',
  message: 'Practice messages, all invented.',
});

/** @param {Purpose | undefined} purpose  of the run at hand @returns {string} "" where nothing has to be said */
export const practiceNote = (purpose) => (purpose === undefined ? '' : NOTES[purpose] ?? '');
