/**
 * Hands raised at sounds: which sound a hand is for, and which hands the server has not said to hold yet. Pure, and
 * plain data, so that it can lie on the device's disk. The server has the last word; this is the same rule.
 */
import { begunAt, startRoomMs } from './moment.js';

/** @import { Milliseconds } from './units.js' */
/** @import { Run } from './moment.js' */
/** @typedef {{ at_ms: Milliseconds, place: number }} Hand  so long after the push's start, for that sound */
/** @typedef {{ push: number, hands: readonly Hand[] }} Waiting */

/** Nobody hears a sound and lifts a hand sooner. */
export const REACTION_MS = 150;

/**
 * Which row a sound is in, from 0 on, its first sound, and how many it has.
 * @param {readonly number[]} lengths
 * @param {number} place
 */
export function rowAt(lengths, place) {
  let first = 0;
  for (const [row, length] of lengths.entries()) {
    if (place < first + length || row === lengths.length - 1) return { row, first, length };
    first += length;
  }
  return { row: 0, first: 0, length: 0 };
}

/**
 * A hand raised now; null where no sound is to be answered.
 * @param {Run} run
 * @param {readonly number[]} lengths
 * @param {Milliseconds} roomMs
 * @returns {Hand | null}
 */
export function handAt(run, lengths, roomMs) {
  const place = begunAt(run, roomMs - REACTION_MS) - 1;
  if (!(place >= 0)) return null;
  const { first, length } = rowAt(lengths, place);
  const periodMs = length < 2 ? Infinity : (run.edges[first + 1]?.[0] ?? Infinity) - run.edges[first][0];
  const isLate = place === first + length - 1 && roomMs >= startRoomMs(run, place) + periodMs + REACTION_MS;
  return isLate ? null : { at_ms: Math.round((roomMs - run.start_room_ms) * 10) / 10, place };
}

/**
 * What is still to be acknowledged of a push; nothing of an earlier one.
 * @param {Waiting | undefined} waiting
 * @param {number} push
 * @param {readonly { at_ms: number }[]} held  by the server
 * @returns {Waiting}
 */
export function left(waiting, push, held) {
  const known = new Set(held.map(({ at_ms }) => at_ms));
  const hands = waiting?.push === push ? waiting.hands : [];
  return { push, hands: hands.filter(({ at_ms }) => !known.has(at_ms)) };
}

/**
 * The sounds that have an own hand, held by the server or on its way.
 * @param {readonly { place: number | null }[]} held
 * @param {readonly { place: number }[]} waiting
 * @returns {Set<number>}
 */
export const placesOf = (held, waiting) =>
  new Set([...held, ...waiting].map(({ place }) => place).filter((place) => place !== null));
