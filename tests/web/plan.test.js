import assert from 'node:assert/strict';
import { test } from 'node:test';
import { EMPTY, reduce } from '../../static/js/core/console_state.js';
import {
  copiedOf, isFree, minutesInWords, minutesLeft, minutesOf, moved, movedTo, nextOf, timeline, without, wordsFor,
} from '../../static/js/core/plan.js';

/** Invented steps: [number, title, push]. */
const steps = (...rows) => rows.map(([step, title, push = 0, purpose = 'mix']) => ({
  step, purpose, title, symbols: 'AN', text: 'AN', sounds: 2, seconds: 30, reason: '', push,
}));
const run = (push, right = 0, of = 0) => ({ push, title: `run ${push}`, purpose: 'mix', symbols: 'AN', counted: true, right, of, settled_anew: 0 });
const shapeOf = (lines) => lines.map((line) => (line.is === 'run' ? line.run.push : line.steps.map(({ step }) => step)));

test('neighbours of one purpose and title are one line', () => {
  const plan = steps([1, 'Meet A'], [2, 'Mix'], [3, 'Mix'], [4, 'Breather'], [5, 'Mix'], [6, 'Mix', 0, 'longer']);
  assert.deepEqual(shapeOf(timeline(plan, [])), [[1], [2, 3], [4], [5], [6]]);
});

test('a line that is half done stays one line', () => {
  assert.deepEqual(shapeOf(timeline(steps([1, 'Mix', 1], [2, 'Mix'], [3, 'Mix']), [run(1)])), [[1, 2, 3]]);
});

test('runs sent beside the plan stand where they happened', () => {
  const plan = steps([1, 'Meet A', 1], [2, 'Mix', 3], [3, 'Close']);
  assert.deepEqual(shapeOf(timeline(plan, [run(1), run(2), run(3), run(4)])), [[1], 2, [2], 4, [3]]);
});

test('a later step sent early stands in the order of time, one without sound where it was planned', () => {
  const plan = steps([1, 'Meet A', 1], [2, 'Breather', -1], [3, 'Longer', 3], [4, 'Mix', 2], [5, 'Close']);
  assert.deepEqual(shapeOf(timeline(plan, [run(1), run(2), run(3)])), [[1], [2], [4], [3], [5]]);
});

test('without a plan the evening is its runs', () => {
  assert.deepEqual(shapeOf(timeline([], [run(1), run(2)])), [1, 2]);
});

test('a whole line moves past the whole line beside it, and nothing done is in the order', () => {
  const plan = steps([1, 'Meet A', 1], [2, 'Mix'], [3, 'Mix'], [4, 'Breather'], [5, 'Close']);
  assert.deepEqual(moved(plan, [4], -1), [4, 2, 3, 5]);
  assert.deepEqual(moved(plan, [2, 3], 1), [4, 2, 3, 5]);
});

test('a line dragged onto another takes its place', () => {
  const plan = steps([1, 'Meet A', 1], [2, 'Mix'], [3, 'Mix'], [4, 'Words'], [5, 'Close']);
  assert.deepEqual(movedTo(plan, [5], [2, 3]), [5, 2, 3, 4]);
  assert.deepEqual(movedTo(plan, [2, 3], [5]), [4, 5, 2, 3]);
  assert.deepEqual(movedTo(plan, [4], [1]), [2, 3, 4, 5]); // what is done has no place to give
});

test('the first line has nowhere earlier to go, the last nowhere later', () => {
  const plan = steps([2, 'Mix'], [3, 'Close']);
  assert.deepEqual([moved(plan, [2], -1), moved(plan, [3], 1)], [[2, 3], [2, 3]]);
});

test('what is dropped is left out of the order, what is done is no part of it', () => {
  assert.deepEqual(without(steps([1, 'Meet A', 1], [2, 'Mix'], [3, 'Mix'], [4, 'Close']), [3]), [2, 4]);
});

test('the next step is the first that is not done', () => {
  assert.equal(nextOf(steps([1, 'Meet A', 1], [2, 'Mix'], [3, 'Mix', 2]))?.step, 2);
  assert.equal(nextOf(steps([1, 'Meet A', -1])), undefined);
});

test('minutes run from the first step, and never below nothing', () => {
  const plan = { minutes: 45, begun_room_ms: 60_000 };
  assert.equal(minutesLeft({ ...plan, begun_room_ms: null }, 5e6), 45);
  assert.equal(minutesLeft(plan, 60_000 + 15 * 60_000), 30);
  assert.equal(minutesLeft(plan, 60_000 + 50 * 60_000), 0);
  assert.equal(minutesLeft(plan, NaN), 45);
  assert.equal(minutesOf(steps([1, 'Mix'], [2, 'Mix'], [3, 'Mix'])), 1.5);
  assert.deepEqual([0.5, 1.2, 7.6].map(minutesInWords), ['under a minute', '1 min', '8 min']);
});

test('what was copied of a line is pooled over its runs', () => {
  const plan = steps([1, 'Mix', 1], [2, 'Mix', 2], [3, 'Mix']);
  assert.deepEqual(copiedOf(plan, [run(1, 8, 10), run(2, 9, 10), run(3, 1, 50)]), { right: 17, of: 20 });
});

test('the class is free between runs, and after one that is only heard', () => {
  const counted = { counted: true };
  const heard = { counted: false };
  assert.deepEqual(['sounding', 'waiting', 'closed', 'revealed'].map((phase) => isFree(phase, counted)), [false, false, true, true]);
  assert.deepEqual([isFree('', null), isFree('waiting', heard), isFree('sounding', heard)], [true, true, false]);
});

test('a choice says what it does', () => {
  const choice = { action: 'go on', sentence: '', introduce: '', symbols: 'AN', sounds: 40, named: false, about: '', learners: [], reasons: [] };
  const say = (/** @type {any} */ change) => wordsFor({ ...choice, ...change }, (sign) => sign);
  assert.equal(say({ introduce: 'SR' }), 'Plan next: meet S, R');
  assert.equal(say({ action: 'stuck', named: true, about: 'A' }), 'Send now: named rounds on A');
  assert.equal(say({ action: 'newest', about: 'N' }), 'Send now: more of N, 40 sounds');
  assert.equal(say({ action: 'ask' }), 'Send now: all 2 sounds, to see what is known');
  const words = ['contrast', 'go back', 'repeat'].map((action) => say({ action }));
  assert.deepEqual(words, ['Send now: A, N apart, 40 sounds', 'Send now: back to 2 sounds', 'Send now: once more, 40 sounds']);
});

test('the console keeps what the server tells of the teaching, and which advice was put away', () => {
  const advice = { push: 3, choices: [], lacking: [], slow: [] };
  const told = reduce(EMPTY, { type: 'told', name: 'advice', payload: advice });
  assert.equal(told.teaching.advice, advice);
  assert.equal(reduce(told, { type: 'teaching', change: { advicePutAway: 3 } }).teaching.advicePutAway, 3);
});
