import assert from 'node:assert/strict';
import { test } from 'node:test';
import { rise } from '../../static/js/core/envelope.js';
import { createEar } from '../../static/js/core/level_ear.js';
import { forSeeds } from './simulation.js';

const BLOCK_MS = 128 / 48;

/** Edges that an ear finds in tones of that loudness over noise. */
function heard(tones, { amplitude = 0.3, noise = 0, random = () => 0.5, fadeOver = Infinity } = {}) {
  const ear = createEar();
  const found = [];
  for (let atMs = 0; atMs < tones[tones.length - 1][1] + 400; atMs += BLOCK_MS) {
    const strength = amplitude * 2 ** (-atMs / fadeOver);
    const tone = tones.reduce((sum, [on, off]) => sum + rise(atMs - on) * rise(off - atMs), 0);
    const edge = ear.hear(Math.hypot(strength * tone, noise * (0.7 + 0.6 * random())), atMs);
    if (edge) found.push(edge);
  }
  return { found, ear };
}

/** Dots of 60 ms and dashes of 180 after a while of quiet. */
const TONES = [[700, 760], [820, 1000], [1060, 1120], [1300, 1480], [2200, 2260]];

test('tones are found with their lengths, however noisy the line within reason', () => {
  forSeeds(30, (random) => {
    const noise = 0.04 * random();
    const { found } = heard(TONES, { noise, random });
    assert.deepEqual(found.map(({ isDown }) => isDown), TONES.flatMap(() => [true, false]));
    TONES.flat().forEach((atMs, n) => assert.ok(Math.abs(found[n].atMs - atMs) < 4, `${found[n].atMs} for ${atMs}`));
  });
});

test('a line that grows fainter is followed', () => {
  const long = Array.from({ length: 40 }, (_, n) => [500 + 500 * n, 700 + 500 * n]);
  const { found } = heard(long, { fadeOver: 8000, noise: 0.002 });
  assert.equal(found.length, 80);
});

test('noise alone is no key, nor is a cable that leads nowhere', () => {
  forSeeds(20, (random) => {
    const { found, ear } = heard([[5000, 5001]], { amplitude: 0, noise: 0.05, random });
    assert.deepEqual(found, []);
    assert.ok(!ear.isClear());
  });
  assert.deepEqual(heard(TONES, { amplitude: 0.001 }).found, []);
});

test('an input that opens silent and then has its noise is not taken for a key', () => {
  const ear = createEar();
  const edges = [];
  for (let n = 0; n < 1200; n += 1) {
    const [noise, tone] = [n < 150 ? 0 : 0.01 * (0.8 + 0.4 * ((n * 7) % 10) / 10), n > 700 && n <= 760 ? 0.3 : 0];
    const edge = ear.hear(Math.hypot(noise, tone), n * BLOCK_MS);
    if (edge) edges.push(edge);
  }
  assert.deepEqual(edges.map(({ isDown, atMs }) => [isDown, Math.round(atMs / BLOCK_MS)]), [[true, 701], [false, 761]]);
});

test('a tremble of the contact within a tone is not two tones', () => {
  const { found } = heard([[700, 750], [753, 900]], { noise: 0.002 });
  assert.deepEqual(found.map(({ isDown }) => isDown), [true, false]);
});
