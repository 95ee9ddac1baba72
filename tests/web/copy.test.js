import assert from 'node:assert/strict';
import test from 'node:test';
import { grouped, readSheet, signOf, signsOf, strokesBetween, written } from '../../static/js/core/copy.js';
import { batches, cleared, EMPTY, waitingOf, withKept, withKeys, withSounded } from '../../static/js/core/outbox.js';

const marksOf = (text) => [...text].map((sign) => ({ sign, at_ms: 0 }));
/** A small repeatable source of chance (mulberry32). */
const chance = (seed) => () => {
  seed = (seed + 0x6d2b79f5) | 0;
  let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
};

test('typed characters become signs', () => {
  for (const [typed, sign] of [['v', 'V'], ['4', '4'], ['é', 'É'], ['e\u0301', 'É'], ['’', "'"], ['_', '_']]) {
    assert.equal(signOf(typed), sign);
  }
  for (const typed of ['%', 'ß', 'Enter', ';', '']) assert.equal(signOf(typed), '');
});

test('a keyed-in sheet: spaces say nothing, unknown signs are named once', () => {
  assert.deepEqual(readSheet('ab_ 4é?\n%c%'), { signs: 'AB_4É?C', unknown: ['%'] });
});

test('strokes append, change, insert and erase; a place that is not there changes nothing', () => {
  const marks = marksOf('ABC');
  assert.equal(signsOf(written(marks, { at_ms: 1, sign: 'D' })), 'ABCD');
  assert.equal(signsOf(written(marks, { at_ms: 1, sign: 'D', change: 1 })), 'ADC');
  assert.equal(signsOf(written(marks, { at_ms: 1, sign: 'D', before: 0 })), 'DABC');
  assert.equal(signsOf(written(marks, { at_ms: 1, erase: 2 })), 'AB');
  assert.equal(written(marks, { at_ms: 1, erase: 3 }), marks);
  assert.equal(written(marks, { at_ms: 1, sign: 'D', before: 0 })[0].at_ms, null);
});

test('strokes between any two sheets turn the one into the other', () => {
  const next = chance(4);
  for (let round = 0; round < 500; round += 1) {
    const word = () => Array.from({ length: Math.floor(next() * 8) }, () => 'AB_'[Math.floor(next() * 3)]).join('');
    const [from, to] = [word(), word()];
    const keys = strokesBetween(from, to, 5);
    assert.equal(signsOf(keys.reduce(written, marksOf(from))), to, `${from} -> ${to}`);
    assert.ok(keys.length <= Math.max(from.length, to.length));
  }
});

test('groups of five, the last one open', () => {
  assert.deepEqual(grouped([...'ABCDEFG']).map((group) => group.join('')), ['ABCDE', 'FG']);
});

test('strokes wait until they are kept, and are numbered on', () => {
  const key = (sign) => ({ at_ms: 0, sign });
  let outbox = withKeys(EMPTY, 3, [...'ABC'].map(key));
  outbox = withKept(outbox, 3, 2);
  assert.deepEqual(batches(outbox, 3, 0), [{ push: 3, first: 2, keys: [key('C')] }]);
  outbox = withKept(withKeys(outbox, 3, [key('D')]), 3, 2);
  assert.deepEqual(batches(outbox, 3, 3), [{ push: 3, first: 3, keys: [key('D')] }]);
  assert.deepEqual(waitingOf(withKept(outbox, 3, 4), 3), { first: 4, keys: [], spans: [] });
});

test('a batch holds at most 200 strokes', () => {
  const outbox = withKeys(EMPTY, 1, Array.from({ length: 450 }, () => ({ at_ms: 0, sign: 'A' })));
  assert.deepEqual(batches(outbox, 1, 0).map(({ first, keys }) => [first, keys.length]), [[0, 200], [200, 200], [400, 50]]);
});

test('an acknowledgement that comes twice or late loses nothing', () => {
  const outbox = withKept(withKeys(EMPTY, 1, [...'ABCD'].map((sign) => ({ at_ms: 0, sign }))), 1, 3);
  assert.equal(waitingOf(withKept(outbox, 1, 3), 1).keys.length, 1);
});

test('earlier pushes stay in the outbox for as long as they hold strokes', () => {
  let outbox = withKeys(withKeys(EMPTY, 1, [{ at_ms: 0, sign: 'A' }]), 2, [{ at_ms: 0, sign: 'B' }]);
  outbox = withKept(outbox, 2, 1);
  assert.deepEqual(Object.keys(cleared(outbox, 3)), ['1']);
});

test('sounded spans that touch become one', () => {
  const spans = [[0, 2], [5, 6], [2, 4]].reduce((box, span) => withSounded(box, 1, span), EMPTY);
  assert.deepEqual(waitingOf(spans, 1).spans, [[0, 4], [5, 6]]);
});
