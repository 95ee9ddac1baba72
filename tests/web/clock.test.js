import assert from 'node:assert/strict';
import { test } from 'node:test';
import * as clocks from '../../static/js/core/clock.js';
import { forSeeds, quantile } from './simulation.js';

/**
 * A server and a network: the room's clock is `offset + (1 + drift) * page`; each way a message takes `fixed` plus a
 * random part. `page` is the true page time.
 */
function world({ random, offset = 1.8e12, drift = 0, up = 0.5, down = 0.5, jitter = 1, epoch = 'a' }) {
  return {
    page: 1000 * random(),
    epoch,
    offset,
    drift,
    room(page) { return this.offset + (1 + this.drift) * page; },
    delay(fixed) { return fixed - jitter * Math.log(1 - random()); },
    exchange(clock) {
      const sent = this.page;
      const there = sent + this.delay(up);
      const left = there + 0.05;
      this.page = left + this.delay(down);
      return clocks.exchange(clock, {
        sent_page_ms: Math.round(sent * 10) / 10, // as coarse as browsers tell the time
        received_page_ms: Math.round(this.page * 10) / 10,
        received_room_ms: this.room(there),
        sent_room_ms: this.room(left),
        epoch: this.epoch,
      });
    },
    run(clock, forMs) {
      const end = this.page + forMs;
      while (this.page < end) {
        clock = this.exchange(clock);
        this.page += clocks.nextExchangeInMs(clock);
      }
      return clock;
    },
    error(clock) { return clocks.toRoom(clock, this.page) - this.room(this.page); },
  };
}

const between = (random, low, high) => low + (high - low) * random();

test('a clock without exchanges knows nothing', () => {
  const clock = clocks.create();
  assert.ok(Number.isNaN(clocks.toPage(clock, 1)));
  assert.ok(Number.isNaN(clocks.toRoom(clock, 1)));
  assert.equal(clocks.status(clock, 0).usable, false);
  assert.equal(clocks.uncertaintyMs(clock, 0), Infinity);
});

test('one exchange is read like a pair of letters: the middle, give or take half the way there and back', () => {
  const clock = clocks.exchange(clocks.create(), {
    sent_page_ms: 100, received_room_ms: 1110, sent_room_ms: 1111, received_page_ms: 131, epoch: 1,
  });
  assert.ok(Math.abs(clocks.toRoom(clock, 200) - (200 + (1010 + 980) / 2)) < 1e-3);
  assert.ok(Math.abs(clocks.toPage(clock, 1195) - 200) < 1e-3);
  assert.ok(clocks.boundMs(clock, 131) >= 15);
});

test('the clock is usable within 2 s of joining, on a slow network too', () => {
  forSeeds(50, (random) => {
    const net = world({ random, up: between(random, 0, 80), down: between(random, 0, 80), jitter: between(random, 0, 40) });
    const begin = net.page;
    let clock = clocks.create();
    while (!clocks.status(clock, net.page).usable) {
      clock = net.exchange(clock);
      net.page += clocks.nextExchangeInMs(clock);
    }
    assert.ok(net.page - begin < 2000, `${net.page - begin} ms`);
  });
});

test('drift up to 300 ppm, jitter and any offset leave less error than the clock says, nineteen times in twenty', () => {
  const within = [];
  const errors = [];
  forSeeds(120, (random) => {
    const fixed = between(random, 0.2, 20);
    const net = world({
      random, up: fixed, down: fixed, jitter: between(random, 0.1, 3),
      drift: between(random, -300e-6, 300e-6), offset: between(random, -1e12, 2e12),
    });
    const clock = net.run(clocks.create(), between(random, 30e3, 400e3));
    errors.push(Math.abs(net.error(clock)));
    within.push(Math.abs(net.error(clock)) <= clocks.uncertaintyMs(clock, net.page));
  });
  assert.ok(within.filter(Boolean).length >= 0.95 * within.length, `${within.filter(Boolean).length} of ${within.length}`);
  assert.ok(quantile(errors, 0.95) < 1, `95 % of errors under ${quantile(errors, 0.95)} ms`);
});

test('jitter of 20 to 60 ms each way leaves under 1.2 ms half a minute after joining, as a median', () => {
  const errors = [];
  forSeeds(30, (random) => {
    const net = world({ random, jitter: 0 });
    net.delay = () => between(random, 20, 60);
    const clock = net.run(clocks.create(), 25_000);
    errors.push(Math.abs(net.error(clock)));
  });
  assert.ok(quantile(errors, 0.5) < 0.6, `median ${quantile(errors, 0.5)} ms`);
  assert.ok(quantile(errors, 0.95) < 2.5, `95 %: ${quantile(errors, 0.95)} ms`);
});

test('drift is found', () => {
  forSeeds(30, (random) => {
    const drift = between(random, -300, 300);
    const net = world({ random, drift: drift * 1e-6, jitter: 0.3 });
    const clock = net.run(clocks.create(), 200e3);
    assert.ok(Math.abs(clocks.status(clock, net.page).driftPpm - drift) < 10);
  });
});

test('however unequal the two directions are, the error stays within the stated bound', () => {
  forSeeds(80, (random) => {
    const net = world({
      random, up: between(random, 0, 150), down: between(random, 0, 150), jitter: between(random, 0.1, 10),
      drift: between(random, -100e-6, 100e-6),
    });
    const clock = net.run(clocks.create(), between(random, 3e3, 100e3));
    assert.ok(Math.abs(net.error(clock)) <= clocks.boundMs(clock, net.page));
  });
});

test('an unequal fixed delay cannot be seen: half the difference remains', () => {
  forSeeds(10, (random) => {
    const net = world({ random, up: 40, down: 10, jitter: 0.05 });
    const clock = net.run(clocks.create(), 20e3);
    assert.ok(Math.abs(net.error(clock) - 15) < 1);
  });
});

test('after a sleep or a step of either clock the first exchange starts the clock anew', () => {
  forSeeds(60, (random) => {
    const net = world({ random, drift: between(random, -300e-6, 300e-6) });
    let clock = net.run(clocks.create(), 60e3);
    net.offset += (random() < 0.5 ? -1 : 1) * between(random, 50, 3600e3);
    clock = net.run(clock, 1500);
    assert.equal(clocks.status(clock, net.page).steps, 1);
    assert.ok(Math.abs(net.error(clock)) < 3, `${net.error(clock)} ms`);
    assert.ok(clocks.status(clock, net.page).usable);
  });
});

test('a page that was shut away for minutes asks often again once told to doubt', () => {
  forSeeds(10, (random) => {
    const net = world({ random });
    const settled = net.run(clocks.create(), 60e3);
    const clock = clocks.doubt(settled);
    assert.ok(clocks.nextExchangeInMs(clock) < clocks.nextExchangeInMs(settled));
    assert.ok(clocks.status(clock, net.page).usable, 'what was known stands meanwhile');
  });
});

test('drift and jitter alone are never taken for a step', () => {
  forSeeds(40, (random) => {
    const net = world({ random, drift: between(random, -300e-6, 300e-6), jitter: between(random, 0.05, 30) });
    assert.equal(net.run(clocks.create(), 300e3).steps, 0);
  });
});

test('a server started anew is told by its epoch, and nothing of the old one stays', () => {
  forSeeds(10, (random) => {
    const net = world({ random });
    let clock = net.run(clocks.create(), 30e3);
    net.epoch = 'b';
    net.offset += 5;
    clock = net.exchange(clock);
    assert.equal(clocks.status(clock, net.page).exchanges, 1);
    assert.equal(clocks.status(clock, net.page).usable, false);
  });
});

test('room time and page time turn back into each other', () => {
  forSeeds(20, (random) => {
    const net = world({ random, drift: 200e-6 });
    const clock = net.run(clocks.create(), 20e3);
    const pageMs = net.page + 1e5 * random();
    assert.ok(Math.abs(clocks.toPage(clock, clocks.toRoom(clock, pageMs)) - pageMs) < 1e-3);
  });
});

test('an hour of exchanges needs no more memory than some minutes', () => {
  forSeeds(1, (random) => {
    const net = world({ random, jitter: 30 });
    assert.ok(net.run(clocks.create(), 3600e3).bounds.length <= 600);
  });
});

test('answers that make no sense change nothing', () => {
  const clock = clocks.create();
  const good = { sent_page_ms: 1, received_page_ms: 2, received_room_ms: 5, sent_room_ms: 5, epoch: 1 };
  assert.equal(clocks.exchange(clock, { ...good, received_room_ms: NaN }), clock);
  assert.equal(clocks.exchange(clock, { ...good, received_page_ms: 0 }), clock);
});
