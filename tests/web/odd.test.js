/** Hands at sounds: which sound one is for, by the same table as the server's tests, and which are still to be sent. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { handAt, left, placesOf, REACTION_MS, rowAt } from '../../static/js/core/hands.js';

const ON = REACTION_MS + 1;
const PAUSE = 2500;
const BEGINS = [0, 1000, 2000, 3000, ...[4000, 5000, 6000, 7000].map((ms) => ms + PAUSE)];
const LENGTHS = [4, 4];
const START = 50_000;
const RUN = Object.freeze({
  start_room_ms: START, edges: BEGINS.map((ms) => [ms, ms + 180]), shifts: [], tidy_ms: 0, lasts_ms: 0, counted: false,
  phase: 'counting in', halted_room_ms: null, sent: 8,
});

/** @param {number} ms @param {object} [changed] */
const place = (ms, changed = {}) => handAt({ ...RUN, ...changed }, LENGTHS, START + ms)?.place ?? null;

test('a hand is for the last sound that one can have reacted to', () => {
  /** @type {[number, number | null][]} */
  const table = [
    [-500, null], [0, null], [REACTION_MS - 1, null], [ON, 0], [1000 + REACTION_MS - 1, 0], [1000 + ON, 1], [3000 + ON, 3],
    [4000 + REACTION_MS - 1, 3], [4000 + ON, null], [4000 + PAUSE + ON, 4], [7000 + PAUSE + ON, 7], [1e7, null],
  ];
  for (const [ms, expected] of table) assert.equal(place(ms), expected, `${ms} ms`);
});

test('in a pause a hand is for what had begun before it, and after it for what came then', () => {
  assert.equal(place(2000 + ON, { phase: 'paused', halted_room_ms: START + 2050 }), 2);
  assert.equal(place(3000 + ON, { phase: 'paused', halted_room_ms: START + 2050 }), 2);
  const shifts = [{ first: 2, shift_ms: 7000 }];
  assert.equal(place(9000 + ON, { shifts }), 2);
  assert.equal(place(10_000 + ON, { shifts }), 3);
});

test('while the clock is not usable there is no hand', () => assert.equal(place(NaN), null));

test('what the server holds is not sent again, and nothing of an earlier push', () => {
  const hands = [{ at_ms: 1, place: 0 }, { at_ms: 2.5, place: 3 }];
  assert.deepEqual(left({ push: 4, hands }, 4, [{ at_ms: 1 }]), { push: 4, hands: [hands[1]] });
  assert.deepEqual(left({ push: 3, hands }, 4, []), { push: 4, hands: [] });
  assert.deepEqual(left(undefined, 4, []), { push: 4, hands: [] });
});

test('own hands stand where they are held and where they are on their way', () => {
  assert.deepEqual([...placesOf([{ place: 2 }, { place: null }], [{ place: 5 }])], [2, 5]);
});

test('a sound is in its row', () => {
  assert.deepEqual(rowAt(LENGTHS, 3), { row: 0, first: 0, length: 4 });
  assert.deepEqual(rowAt(LENGTHS, 4), { row: 1, first: 4, length: 4 });
  assert.deepEqual(rowAt([], 0), { row: 0, first: 0, length: 0 });
});
