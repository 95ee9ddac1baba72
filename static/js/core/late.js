/** What a page could not bring to the room before another run came: kept, and said again on a later connection. Pure. */

/** @import { ToServer } from './messages.js' */
/** What can wait like that: each names the run that it is of. @typedef {{ name: 'raise_hand', payload: ToServer['raise_hand'] }} Letter */

/**
 * What waits of one run, in the place of what waited of it before; that of other runs stays.
 * @param {readonly Letter[]} letters
 * @param {Letter['name']} name
 * @param {number} push
 * @param {readonly Letter['payload'][]} payloads
 * @returns {Letter[]}
 */
export const withLetters = (letters, name, push, payloads) => [
  ...letters.filter((letter) => letter.name !== name || letter.payload.push !== push), ...payloads.map((payload) => ({ name, payload })),
];
