import assert from 'node:assert/strict';
import { test } from 'node:test';
import { batchAt, isFlood, NOTHING, tonesBefore, withKept, withTone, wordAt, wordsOf } from '../../static/js/core/keying.js';
import { forSeeds } from './simulation.js';

const withAll = (tones) => tones.reduce(withTone, NOTHING);

test('tones go out once, numbered, and again only when nobody answered', () => {
  const waiting = withAll([[0, 100], [200, 300]]);
  const first = batchAt(waiting, 1000);
  assert.deepEqual(first.batch, { first: 0, edges: [0, 100, 200, 300] });
  assert.equal(batchAt(first.waiting, 2000).batch, null);
  assert.deepEqual(batchAt(first.waiting, 4001).batch, first.batch);
  const more = withTone(first.waiting, [400, 500]);
  assert.deepEqual(batchAt(more, 1150).batch, { first: 2, edges: [400, 500] });
});

test('what the room holds is forgotten, whatever was said before', () => {
  const { waiting } = batchAt(withAll([[0, 100], [200, 300], [400, 500]]), 0);
  const kept = withKept(waiting, 2);
  assert.deepEqual([kept.first, kept.tones], [2, [[400, 500]]]);
  assert.equal(withKept(kept, 1), kept);
  assert.deepEqual(withKept(kept, 7).tones, []);
  assert.equal(withKept(kept, 7).first, 7, 'another page of this seat keyed on');
});

test('however the line breaks, the room gets every tone once and in order', () => {
  forSeeds(100, (random) => {
    let waiting = NOTHING;
    const room = [];
    const tones = Array.from({ length: 60 }, (_, n) => [100 * n, 100 * n + 50]);
    for (let pageMs = 0; pageMs < 60_000 && room.length < 60; pageMs += 150) {
      const next = tones.shift();
      if (next) waiting = withTone(waiting, next);
      const out = batchAt(waiting, pageMs);
      waiting = out.waiting;
      if (out.batch && random() < 0.6 && out.batch.first <= room.length) {
        const { first, edges } = out.batch;
        for (let i = room.length - first; i < edges.length / 2; i += 1) room.push(edges[2 * i]);
      }
      if (random() < 0.7) waiting = withKept(waiting, room.length);
    }
    assert.deepEqual(room, Array.from({ length: 60 }, (_, n) => 100 * n));
  });
});

test('a bounce of the contact is no tone, nor is one that overlaps', () => {
  const one = withTone(NOTHING, [100, 200]);
  assert.equal(withTone(one, [150, 300]), one);
  assert.equal(withTone(one, [300, 301]), one);
  assert.equal(withTone(one, [300, NaN]), one);
});

test('more than thirty tones a second are a flood; dits at sixty words a minute are none', () => {
  const every = (ms) => Array.from({ length: 40 }, (_, n) => n * ms);
  assert.ok(isFlood(every(20), 800));
  assert.ok(!isFlood(every(40), 1600));
});

test('the word at hand follows from how many tones were keyed', () => {
  const words = wordsOf('TEA AT');
  assert.deepEqual(words, [{ word: 'TEA', tones: 4 }, { word: 'AT', tones: 3 }]);
  assert.deepEqual([0, 3, 4, 6, 7, 30].map((keyed) => wordAt(words, keyed)), [0, 0, 1, 1, 2, 2]);
  assert.equal(tonesBefore(words, 1), 4);
  assert.deepEqual(wordsOf(''), []);
});
