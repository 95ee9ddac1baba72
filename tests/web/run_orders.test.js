/** Orders on runs carry what they are meant for; each deed has a place of its own. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { asMeant, isSecondClick } from '../../static/js/core/run_orders.js';

const RUN = /** @type {any} */ ({
  push: 3, phase: 'sounding', start_room_ms: 10_000, edges: [[0, 500], [1_000, 1_500]], shifts: [], sent: 2, counted: true,
  halted_room_ms: null, tidy_ms: 5_000,
});

for (const [name, roomMs, payload] of /** @type {[string, number, object][]} */ ([
  ['pause', 9_000, { push: 3, seen: 'counting in' }],
  ['stop', 10_200, { push: 3, seen: 'sounding' }],
  ['close', 12_000, { push: 3, seen: 'tidying' }],
  ['reveal', 99_000, { push: 3, seen: 'waiting' }],
  ['send_text', 12_000, { text: 'TEA', after: 3 }],
  ['send_step', 12_000, { text: 'TEA', after: 3 }],
  ['rename', 12_000, { text: 'TEA' }],
])) {
  test(`${name} at room time ${roomMs} says what it is meant for`, () => {
    const given = 'seen' in payload ? {} : { text: 'TEA' };
    assert.deepEqual(asMeant(name, given, RUN, roomMs), payload);
  });
}

test('without a run a text comes after none', () => {
  assert.deepEqual(asMeant('send_text', {}, null, 0), { after: 0 });
  assert.deepEqual(asMeant('repeat', {}, null, 0), { push: 0 });
});

test('the same order within a second is a second click', () => {
  const last = { name: 'pause', atMs: 1_000 };
  assert.equal(isSecondClick(last, 'pause', 1_400), true);
  assert.equal(isSecondClick(last, 'pause', 2_100), false);
  assert.equal(isSecondClick(last, 'stop', 1_400), false);
  assert.equal(isSecondClick({ name: 'seen_help', atMs: 1_000 }, 'seen_help', 1_100), false);
});
