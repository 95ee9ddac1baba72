import assert from 'node:assert/strict';
import { test } from 'node:test';
import { createPlayer } from '../../static/js/shell/player.js';
import { forSeeds } from './simulation.js';

/** A player whose audio time is room time in seconds, and a voice that writes down what it is told. */
function stage({ lookAheadS = 0.25 } = {}) {
  const told = { nowS: 9, slipS: 0, known: true, sounds: [], reports: [] };
  const player = createPlayer({
    now: () => ({
      currentS: told.nowS,
      lookAheadS,
      roomToAudio: (roomMs) => (told.known ? roomMs / 1000 + told.slipS : NaN),
    }),
    sound: (push, index, startS) => {
      const edges = push.edges[index];
      const sound = { index, startS, endS: startS + (edges[edges.length - 1] - edges[0]) / 1000, stoppedS: Infinity };
      told.sounds.push(sound);
      return { ...sound, stop: (atS) => { sound.stoppedS = atS; } };
    },
    onSounded: (push, from, to) => told.reports.push([push, from, to]),
  });
  const runTo = (untilS, stepS = 0.04) => {
    while (told.nowS < untilS) {
      told.nowS += stepS;
      player.tick();
    }
    player.report();
  };
  return { told, player, runTo };
}

const push = (over = {}) => ({
  push: 7, start_room_ms: 10_000, pitch_hz: 600, level: 1, shifts: [],
  edges: Array.from({ length: 10 }, (_, n) => [500 * n, 500 * n + 200]), ...over,
});
const indices = (told) => told.sounds.filter((s) => s.stoppedS === Infinity).map((s) => s.index);
const reported = (told) => told.reports.flatMap(([, from, to]) => Array.from({ length: to - from }, (_, n) => from + n));

test('a push sounds whole and is reported whole, once, however the timer stumbles', () => {
  forSeeds(50, (random) => {
    const { told, player, runTo } = stage();
    player.play(push());
    while (told.nowS < 16) runTo(told.nowS + 0.01, 0.02 + 0.2 * random());
    assert.deepEqual(indices(told), [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    assert.deepEqual(reported(told), [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });
});

test('who comes late hears and reports the rest only', () => {
  const { told, player, runTo } = stage();
  told.nowS = 11.2;
  player.play(push());
  runTo(16);
  assert.deepEqual(reported(told), [3, 4, 5, 6, 7, 8, 9]);
});

test('a halt cuts what sounds, takes back what was handed over, and the rest comes with the shift', () => {
  const { told, player, runTo } = stage({ lookAheadS: 1.2 });
  player.play(push());
  runTo(11.1);
  player.halt({ push: 7, at_room_ms: 11_100 });
  const cut = told.sounds.filter((s) => s.stoppedS < Infinity);
  assert.deepEqual(cut.map((s) => [s.index, s.stoppedS]), [[2, 11.1], [3, 11.1], [4, 11.1]]);
  runTo(20);
  assert.deepEqual(indices(told), [0, 1]);
  assert.deepEqual(reported(told), [0, 1]);
  player.play(push({ shifts: [{ first: 2, shift_ms: 10_000 }] }));
  runTo(26);
  assert.deepEqual(indices(told), [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
  assert.deepEqual(reported(told), [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
});

test('a push sent again while halted, as after a reconnect, loses nothing', () => {
  const { told, player, runTo } = stage();
  player.play(push());
  runTo(11.1);
  const halt = { push: 7, at_room_ms: 11_100 };
  player.halt(halt);
  runTo(14);
  player.play(push());
  player.halt(halt);
  runTo(18);
  player.play(push({ shifts: [{ first: 2, shift_ms: 10_000 }] }));
  runTo(26);
  assert.deepEqual(reported(told), [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
});

test('what was handed over before the output stopped is neither sounded late nor reported', () => {
  const { told, player, runTo } = stage();
  player.play(push());
  runTo(10.6);
  player.silence();
  told.slipS = -3; // the output was suspended for three seconds
  runTo(16);
  assert.deepEqual(reported(told), [0, 8, 9], 'symbols 1 to 7 fell into the silence');
  assert.ok(told.sounds.every((s) => s.stoppedS < Infinity || s.index === 0 || s.index >= 8));
});

test('a symbol whose place has moved away under it is not reported', () => {
  const { told, player, runTo } = stage();
  player.play(push());
  runTo(10.55);
  told.slipS = 0.1;
  runTo(16);
  assert.ok(!reported(told).includes(1));
  assert.ok(reported(told).includes(9));
});

test('without a clock nothing sounds, and with it the rest does', () => {
  const { told, player, runTo } = stage();
  told.known = false;
  player.play(push());
  runTo(12.05);
  assert.deepEqual(told.sounds, []);
  told.known = true;
  runTo(16);
  assert.deepEqual(reported(told), [5, 6, 7, 8, 9]);
});

test('stopping forgets: nothing comes back', () => {
  const { told, player, runTo } = stage();
  player.play(push());
  runTo(10.3);
  player.forget();
  runTo(16);
  assert.deepEqual(reported(told), [0]);
  assert.equal(player.isSounding(), false);
});

test('parts of one run sound each in its time, are reported by their place in it or not at all, and end with one halt', () => {
  const { told, player, runTo } = stage();
  player.play(push({ part: 1, first: 0, edges: [[0, 200]] }));
  player.play(push({ part: 2, first: -1, edges: [[500, 700]] }));
  player.play(push({ part: 3, first: 2, edges: [[1000, 1200], [1500, 1700]] }));
  runTo(11.3);
  assert.deepEqual(told.sounds.slice(0, 3).map((s) => s.startS), [10, 10.5, 11]);
  assert.deepEqual(told.reports, [[7, 0, 1], [7, 2, 3]]);
  player.halt({ push: 7, at_room_ms: 11_300 });
  runTo(14);
  assert.deepEqual(reported(told), [0, 2]);
});
