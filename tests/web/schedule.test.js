import assert from 'node:assert/strict';
import { test } from 'node:test';
import { endRoomMs, startRoomMs } from '../../static/js/core/moment.js';
import * as schedule from '../../static/js/core/schedule.js';
import { forSeeds } from './simulation.js';

const between = (random, low, high) => low + (high - low) * random();

const push = (over = {}) => ({
  push: 1, start_room_ms: 10_000, pitch_hz: 600, level: 1, shifts: [],
  edges: Array.from({ length: 20 }, (_, n) => [300 * n, 300 * n + 60, 300 * n + 120, 300 * n + 180]), ...over,
});
const roomToAudio = (roomMs) => roomMs / 1000;

test('every symbol is handed over once, in its place, however late the timer is', () => {
  forSeeds(200, (random) => {
    const given = push();
    const handed = [];
    let next = 0;
    for (let nowMs = 8000; nowMs < 17_000; nowMs += between(random, 20, 230)) {
      const step = schedule.due(given, next, { currentS: nowMs / 1000, lookAheadS: 0.25, roomToAudio });
      next = step.next;
      for (const { index, startS } of step.sound) {
        assert.ok(startS * 1000 > nowMs && startS * 1000 <= nowMs + 250);
        assert.equal(startS * 1000, given.start_room_ms + given.edges[index][0]);
        handed.push(index);
      }
    }
    assert.deepEqual(handed, given.edges.map((_, n) => n));
  });
});

test('nothing is handed over while room time is unknown', () => {
  const { next, sound } = schedule.due(push(), 0, { currentS: 5, lookAheadS: 99, roomToAudio: () => NaN });
  assert.deepEqual([next, sound], [0, []]);
});

test('a late joiner gets the rest in step, and never half a symbol', () => {
  forSeeds(50, (random) => {
    const given = push();
    const currentS = between(random, 10, 16);
    const { sound } = schedule.due(given, 0, { currentS, lookAheadS: 99, roomToAudio });
    const ahead = given.edges.map((_, n) => n).filter((n) => startRoomMs(given, n) / 1000 >= currentS + 0.01);
    assert.deepEqual(sound.map(({ index }) => index), ahead);
  });
});

test('after a halt the symbols that would end later wait, and come with the shift', () => {
  const given = push();
  const halted = schedule.due(given, 0, { currentS: 9, lookAheadS: 99, haltRoomMs: 11_000, roomToAudio });
  assert.equal(halted.sound.length, 3, 'the fourth ends at 11 080 ms');
  assert.equal(halted.next, 3);
  const resumed = push({ shifts: [{ first: 3, shift_ms: 5000 }] });
  const rest = schedule.due(resumed, halted.next, { currentS: 12, lookAheadS: 99, roomToAudio });
  assert.deepEqual(rest.sound.map(({ index }) => index), given.edges.map((_, n) => n).slice(3));
  assert.equal(rest.sound[0].startS, 15.9);
});

test('of several shifts the last one that reaches a symbol holds', () => {
  const given = push({ shifts: [{ first: 2, shift_ms: 100 }, { first: 5, shift_ms: 700 }] });
  assert.deepEqual([1, 2, 4, 5, 19].map((n) => startRoomMs(given, n) - 10_000 - 300 * n), [0, 100, 100, 700, 700]);
  assert.equal(endRoomMs(given, 5) - startRoomMs(given, 5), 180);
});
