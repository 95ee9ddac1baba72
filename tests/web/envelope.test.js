import assert from 'node:assert/strict';
import { test } from 'node:test';
import { EDGE_MS, rise, sampleCount, samples } from '../../static/js/core/envelope.js';
import { forSeeds } from './simulation.js';

const RATE_HZ = 48_000;
const DOT_MS = 60; // 1200 ms / 20 wpm, the standard word being PARIS (Recommendation ITU-R M.1677-1 (10/2009): dash 3, gap 1)
const close = (actual, expected, by, what = '') =>
  assert.ok(Math.abs(actual - expected) <= by, `${what} ${actual} instead of ${expected}`);

/** Instants at which the amplitude passes one half. */
function halfAmplitudeEdges(made, pitchHz) {
  // The tone against a sine and a cosine of its pitch, over one whole period: amplitude without phase.
  const period = Math.round(RATE_HZ / pitchHz);
  const amplitude = Array.from({ length: made.length - period }, (_, k) => {
    let [re, im] = [0, 0];
    for (let n = 0; n < period; n += 1) {
      re += made[k + n] * Math.cos((2 * Math.PI * n) / period);
      im += made[k + n] * Math.sin((2 * Math.PI * n) / period);
    }
    return (2 / period) * Math.hypot(re, im);
  });
  const crossings = [];
  for (let k = 1; k < amplitude.length; k += 1) {
    const [a, b] = [amplitude[k - 1] - 0.5, amplitude[k] - 0.5];
    if (a < 0 !== b < 0) crossings.push(((k - 1 + a / (a - b) + (period - 1) / 2) * 1000) / RATE_HZ);
  }
  return crossings;
}

test('an edge passes the quarters of a raised cosine, e(t) = (1 - cos(pi t / T)) / 2', () => {
  const quarters = [0, 0.1464466, 0.5, 0.8535534, 1];
  quarters.forEach((height, n) => close(rise((n / 4 - 0.5) * EDGE_MS), height, 1e-6));
  assert.equal(rise(-100), 0);
  assert.equal(rise(100), 1);
});

test('from a tenth to nine tenths takes 0.5903 of the whole edge', () => {
  const tenth = EDGE_MS * (Math.acos(0.8) / Math.PI - 0.5);
  close(rise(tenth), 0.1, 1e-9);
  close(rise(-tenth), 0.9, 1e-9);
  close(-2 * tenth / EDGE_MS, 0.5903, 1e-4);
});

test('dots, gaps and dashes are 1 : 1 : 3 at half amplitude, within 0.1 ms, from 5 to 40 wpm', () => {
  for (const wpm of [5, 13, 20, 30, 40]) {
    const dot = 1200 / wpm;
    const made = samples({ edges: [0, dot, 2 * dot, 5 * dot], pitchHz: 1000 }, -10, RATE_HZ);
    const edges = halfAmplitudeEdges(made, 1000).map((at) => at - 10);
    assert.equal(edges.length, 4);
    [0, dot, 2 * dot, 5 * dot].forEach((at, n) => close(edges[n], at, 0.1, `${wpm} wpm, edge ${n}:`));
  }
});

test('a tone is its envelope times one sine that runs from the push\'s start', () => {
  const tones = { edges: [600, 660, 720, 900], pitchHz: 613 };
  const fromMs = 590.123;
  const made = samples(tones, fromMs, RATE_HZ);
  forSeeds(200, (random) => {
    const k = Math.floor(random() * made.length);
    const at = fromMs + (k * 1000) / RATE_HZ;
    const [on, off] = at < 690 ? [600, 660] : [720, 900];
    close(made[k], rise(at - on) * rise(off - at) * Math.sin(2 * Math.PI * 0.613 * at), 1e-6);
  });
});

test('nothing is cut off at either end, wherever the first sample lies', () => {
  forSeeds(100, (random) => {
    const tones = { edges: [100, 100 + DOT_MS], pitchHz: 300 + 600 * random() };
    const fromMs = 100 - EDGE_MS / 2 - random() / 48;
    const made = samples(tones, fromMs, RATE_HZ);
    assert.equal(made.length, sampleCount(tones, fromMs, RATE_HZ));
    close(made[0], 0, 1e-4);
    close(made[made.length - 1], 0, 1e-4);
    assert.ok(made.every((sample) => Math.abs(sample) <= 1));
    assert.ok(fromMs + ((made.length - 1) * 1000) / RATE_HZ >= 100 + DOT_MS + EDGE_MS / 2);
  });
});

test('the same tones at another sample rate are the same sound', () => {
  const tones = { edges: [0, DOT_MS], pitchHz: 700 };
  const low = samples(tones, -5, 24_000);
  const high = samples(tones, -5, 48_000);
  low.forEach((sample, k) => close(sample, high[2 * k] ?? 0, 1e-6));
});
