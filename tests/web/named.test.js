/** Named rounds, the parts that only reckon: where a round is, and what is said of it. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { listed, momentOf, ordinal, outcome, seconds, stillAsked, turnWords, verdict } from '../../static/js/exercises/named.js';

const ROUND = {
  push: 1, round: 2, rounds: 8, step: 'sound', held: '', voice: false, by_turns: false, meets: false, asks: true, turns: [], start_room_ms: 0,
  sound_room_ms: 10_000, gap_room_ms: 10_500, over_room_ms: 13_500, next_room_ms: 15_000, gap_ms: 3000, name: '', over: false,
};

test('a round is a sound, a gap and a name, by the clock', () => {
  assert.deepEqual(momentOf(ROUND, 10_100), { field: 'sound', passedMs: 100, ofMs: 500 });
  assert.deepEqual(momentOf(ROUND, 12_000), { field: 'gap', passedMs: 1500, ofMs: 3000 });
  assert.deepEqual(momentOf({ ...ROUND, step: 'name', name: 'K' }, 14_000), { field: 'name', passedMs: 500, ofMs: 1500 });
});

test('a gap whose time is over waits for the server: no page shows the field of the name before the name is there', () => {
  assert.deepEqual(momentOf(ROUND, 20_000), { field: 'gap', passedMs: 3000, ofMs: 3000 });
});

test('a pause does not lengthen the gap that it cut', () => {
  const after = { ...ROUND, over_room_ms: 73_500, next_room_ms: 75_000 };
  assert.deepEqual(momentOf(after, 71_500), { field: 'gap', passedMs: 1000, ofMs: 3000 });
  assert.equal(momentOf({ ...ROUND, held: 'paused' }, 12_000).field, 'held');
});

test('after the last name the round is done, and nothing is expected any more', () => {
  const last = { ...ROUND, round: 8, step: 'name', name: 'K' };
  assert.equal(momentOf(last, 14_900).field, 'name');
  assert.equal(momentOf(last, 15_000).field, 'done');
});

test('before the first sound and after the last there is no field', () => {
  assert.equal(momentOf({ ...ROUND, round: 0, step: '' }, 0).field, 'before');
  assert.equal(momentOf({ ...ROUND, over: true }, 0).field, 'over');
});

test('the turn is a sentence', () => {
  const turns = [{ seat: 3, name: 'Fern' }];
  assert.equal(turnWords({ ...ROUND, by_turns: true, turns }, 11), 'Fern answers, ten write along');
  assert.equal(turnWords({ ...ROUND, by_turns: true, turns }, 2), 'Fern answers, one writes along');
  assert.equal(turnWords({ ...ROUND, by_turns: true, turns }, 1), 'Fern answers, nobody writes along');
  assert.equal(turnWords({ ...ROUND, by_turns: true, turns }, 31), 'Fern answers, 30 write along');
  assert.equal(turnWords(ROUND, 11), 'All answer');
  assert.equal(turnWords({ ...ROUND, meets: true }, 11), 'All listen; who knows it answers');
  assert.equal(turnWords({ ...ROUND, meets: true, asks: false }, 11), 'All listen');
});

test('ordinals and seconds are as people say them', () => {
  assert.deepEqual([1, 2, 3, 4, 11, 12, 13, 21, 22, 23, 24].map(ordinal), ['1st', '2nd', '3rd', '4th', '11th', '12th', '13th', '21st', '22nd', '23rd', '24th']);
  assert.equal(seconds(1449), '1.4');
  assert.equal(listed(['Y', '8', 'F']), 'Y, 8 and F');
});

test('slow is said of right sounds in ink, and beside being mixed up', () => {
  const one = { sign: 'Y', asked: 9, right: 9, another: 0, blank: 0, median_ms: 1400, low_ms: 1300, high_ms: 1500, dots: [], slow: true, mixed: false };
  assert.equal(verdict(one), 'right, but slow');
  assert.equal(verdict({ ...one, right: 5 }), 'slow');
  assert.equal(verdict({ ...one, mixed: true }), 'slow, and mixed up');
  assert.equal(verdict({ ...one, slow: false }), '');
});

test('only who is here and types is asked, and nobody twice', () => {
  const seat = { seat: 1, name: 'Wren', way: 'typing', device: true, inside: true, here: true, sound: 'on', uncertainty_ms: 1, visible: true, asks_help: false, long_away: false };
  const seats = [seat, { ...seat, seat: 2 }, { ...seat, seat: 3, way: 'paper' }, { ...seat, seat: 4, here: false }, { ...seat, seat: 5, device: false }];
  assert.deepEqual(stillAsked(seats, [1]), { asked: 2, waiting: [seats[1]] });
});

test('an answer is right, another, a blank or none', () => {
  assert.deepEqual(['K', 'R', '_', ' ', ''].map((answer) => outcome('K', answer)), ['right', 'another', 'blank', 'none', 'none']);
});
