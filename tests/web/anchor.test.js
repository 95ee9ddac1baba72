import assert from 'node:assert/strict';
import { test } from 'node:test';
import * as anchors from '../../static/js/core/anchor.js';
import { forSeeds } from './simulation.js';

const between = (random, low, high) => low + (high - low) * random();

/** An output: audio time runs `1 + drift` as fast as page time, and is heard `latencyMs` after it was `currentTime`. */
function output({ random, drift = 0, latencyMs = 40, startMs = 500, blockMs = 10.667, stamps = true, noiseMs = 0.05 }) {
  return {
    latencyMs,
    slippedMs: 0,
    wrongMs: 0,
    heardS(pageMs) { return ((pageMs - startMs) * (1 + drift) - this.latencyMs - this.slippedMs) / 1000; },
    reading(pageMs) {
      const blocks = Math.floor((this.heardS(pageMs) * 1000 + this.latencyMs) / blockMs);
      const stampMs = pageMs - 5 * random();
      return {
        pageMs,
        currentS: (blocks * blockMs) / 1000,
        latencyS: this.latencyMs / 1000,
        ...(stamps && {
          contextS: this.heardS(stampMs) + (this.wrongMs + noiseMs * (2 * random() - 1)) / 1000,
          performanceMs: stampMs,
        }),
      };
    },
    follow(anchor, fromMs, toMs, everyMs = 40) {
      for (let pageMs = fromMs; pageMs < toMs; pageMs += everyMs * between(random, 1, 1.3)) {
        anchor = anchors.withReading(anchor, this.reading(pageMs));
      }
      return anchor;
    },
    errorMs(anchor, pageMs) { return Math.abs(anchors.toAudio(anchor, pageMs) - this.heardS(pageMs)) * 1000; },
  };
}

test('an output that has not begun to move gives no time', () => {
  let anchor = anchors.createAnchor();
  for (let n = 0; n < 10; n += 1) {
    anchor = anchors.withReading(anchor, { pageMs: n, currentS: 0, latencyS: 0, contextS: 0, performanceMs: 0 });
  }
  assert.ok(Number.isNaN(anchors.toAudio(anchor, 5)));
  assert.equal(anchors.scatterMs(anchor), Infinity);
});

test('stamps give audio time a fifth of a second after unlocking, within 0.2 ms and what 2.5 s of drift make', () => {
  forSeeds(20, (random) => {
    const drift = between(random, -300e-6, 300e-6);
    const sound = output({ random, drift, latencyMs: between(random, 5, 300) });
    const fromMs = between(random, 1000, 1e6);
    for (const forMs of [200, 3000, 30_000]) {
      const anchor = sound.follow(anchors.createAnchor(), fromMs, fromMs + forMs);
      assert.equal(anchor.source, 'timestamp');
      const error = sound.errorMs(anchor, fromMs + forMs + 250);
      assert.ok(error < 0.2 + 2500 * Math.abs(drift), `${error} ms after ${forMs} ms`);
    }
  });
});

test('without stamps the blocks of currentTime and the stated latency give it within a few ms', () => {
  forSeeds(20, (random) => {
    const sound = output({ random, stamps: false, drift: between(random, -100e-6, 100e-6) });
    const anchor = sound.follow(anchors.createAnchor(), 2000, 6000);
    assert.equal(anchor.source, 'latency');
    const error = sound.errorMs(anchor, 6200);
    assert.ok(error < 5, `${error} ms`);
  });
});

test('stamps that stand still or lie far from now are not believed', () => {
  forSeeds(20, (random) => {
    const sound = output({ random });
    let anchor = anchors.createAnchor();
    for (let pageMs = 5000; pageMs < 7000; pageMs += 40) {
      anchor = anchors.withReading(anchor, { ...sound.reading(pageMs), performanceMs: 100, contextS: 0.1 });
    }
    assert.equal(anchor.source, 'latency');
  });
});

test('stamps that wander for some seconds after a stall move the sound by less than half their error', () => {
  forSeeds(20, (random) => {
    const sound = output({ random, drift: between(random, -100e-6, 100e-6) });
    let anchor = sound.follow(anchors.createAnchor(), 1000, 20_000);
    const peakMs = between(random, 3, 10) * (random() < 0.5 ? -1 : 1);
    const errors = [];
    for (let sinceMs = 0; sinceMs < 15_000; sinceMs += 40) {
      sound.wrongMs = peakMs * Math.exp(-sinceMs / 4000);
      anchor = anchors.withReading(anchor, sound.reading(20_000 + sinceMs));
      errors.push(sound.errorMs(anchor, 20_000 + sinceMs));
    }
    const mean = errors.reduce((sum, error) => sum + error) / errors.length;
    const lied = Math.abs(peakMs) * 4000 / 15_000;
    assert.ok(mean < 0.5 * lied + 0.3, `${mean} ms on average, while stamps lied by ${lied} ms`);
  });
});

test('a stall throws stamps off by 20 to 60 ms for 20 s, and the sound by less than 4 ms', () => {
  forSeeds(10, (random) => {
    const sound = output({ random, drift: between(random, -300e-6, 300e-6) });
    let anchor = sound.follow(anchors.createAnchor(), 1000, 45_000);
    const peakMs = between(random, 20, 60) * (random() < 0.5 ? -1 : 1);
    for (let sinceMs = 0; sinceMs < 20_000; sinceMs += 60) {
      sound.wrongMs = peakMs * Math.min(1, sinceMs / 3000) * Math.exp(-sinceMs / 8000);
      anchor = anchors.withReading(anchor, sound.reading(45_000 + sinceMs));
      const error = sound.errorMs(anchor, 45_000 + sinceMs);
      assert.ok(error < 4, `${error} ms, ${sinceMs} ms after, with stamps wrong by ${sound.wrongMs} ms`);
    }
  });
});

test('another output, as much slower as Bluetooth, is followed within half a minute', () => {
  forSeeds(10, (random) => {
    const sound = output({ random });
    let anchor = sound.follow(anchors.createAnchor(), 1000, 60_000);
    sound.latencyMs = between(random, 100, 300);
    anchor = sound.follow(anchor, 60_000, 90_000);
    const error = sound.errorMs(anchor, 90_000);
    assert.ok(error < 1, `${error} ms`);
  });
});

test('outputs that take sound in large bites are followed by their stamps', () => {
  forSeeds(10, (random) => {
    const sound = output({ random, blockMs: between(random, 500, 2000) });
    const anchor = sound.follow(anchors.createAnchor(), 1000, 30_000);
    const error = sound.errorMs(anchor, 30_000);
    assert.ok(error < 0.5, `${error} ms`);
  });
});

test('a step of the output is followed within four seconds', () => {
  forSeeds(20, (random) => {
    const sound = output({ random, drift: between(random, -300e-6, 300e-6) });
    let anchor = sound.follow(anchors.createAnchor(), 1000, 40_000);
    sound.slippedMs = between(random, -200, 200);
    anchor = sound.follow(anchor, 40_000, 44_000);
    const error = sound.errorMs(anchor, 44_250);
    assert.ok(error < 1, `${error} ms`);
  });
});

test('a slip of the sound itself in the first seconds is followed within a second and a half', () => {
  forSeeds(20, (random) => {
    const sound = output({ random, drift: between(random, -300e-6, 300e-6) });
    const slipMs = between(random, 1800, 4000);
    let anchor = sound.follow(anchors.createAnchor(), 1000, slipMs);
    sound.slippedMs = between(random, 40, 250);
    anchor = sound.follow(anchor, slipMs, slipMs + 1500);
    const error = sound.errorMs(anchor, slipMs + 1500);
    assert.ok(error < 1, `${error} ms after a slip of ${sound.slippedMs} ms`);
  });
});

test('a single lying stamp moves nothing', () => {
  forSeeds(20, (random) => {
    const sound = output({ random });
    let anchor = sound.follow(anchors.createAnchor(), 1000, 5000);
    sound.wrongMs = between(random, -500, 500);
    anchor = anchors.withReading(anchor, sound.reading(5040));
    const error = sound.errorMs(anchor, 5300);
    assert.ok(error < 0.3, `${error} ms`);
  });
});
