import assert from 'node:assert/strict';
import { test } from 'node:test';
import { createKeyer } from '../../static/js/core/keyer.js';
import { forSeeds } from './simulation.js';

/** Dits last 100 ms: 12 words a minute by PARIS. Lengths: Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2. */
const WPM = 12;

/**
 * What a keyer sends while fingers do this: [ms, '+dit' | '-dit' | '+dah' | '-dah'] in order of time.
 * @returns elements as "." and "-", with their times
 */
function played(does, settings = {}) {
  const keyer = createKeyer({ wpm: WPM, ...settings });
  const sent = [];
  let now = null;
  const take = (element) => {
    now = element;
    if (element) sent.push(element);
  };
  const runTo = (atMs) => {
    while (now !== null && now.endMs <= atMs) take(keyer.next());
  };
  for (const [atMs, what] of does) {
    runTo(atMs - 1e-6);
    const paddle = what.slice(1);
    if (what[0] === '-') keyer.up(paddle);
    else take(keyer.down(paddle, atMs) ?? now);
    if (sent.length > 1 && sent[sent.length - 1] === sent[sent.length - 2]) sent.pop();
  }
  runTo(60_000);
  return { text: sent.map(({ paddle }) => (paddle === 'dit' ? '.' : '-')).join(''), sent };
}

/** Each row: what is done, what it sends when keying ends with the element, and when one more is added. */
const TABLE = [
  ['a tap is one dit', [[0, '+dit'], [30, '-dit']], '.', '.'],
  ['a tap is one dah', [[0, '+dah'], [30, '-dah']], '-', '-'],
  ['a dit paddle held goes on', [[0, '+dit'], [350, '-dit']], '..', '..'],
  ['let go within an element it is sent whole', [[0, '+dah'], [810, '-dah']], '---', '---'],
  ['the other paddle tapped in an element comes after it', [[0, '+dah'], [100, '+dit'], [130, '-dit'], [200, '-dah']], '-.', '-.'],
  ['and only once, then the held one goes on', [[0, '+dah'], [100, '+dit'], [130, '-dit'], [650, '-dah']], '-.-', '-.-'],
  ['tapped in the silence after an element it comes, too', [[0, '+dit'], [50, '-dit'], [150, '+dah'], [160, '-dah']], '.-', '.-'],
  ['the same paddle tapped again in its element adds nothing', [[0, '+dit'], [20, '-dit'], [40, '+dit'], [60, '-dit']], '.', '.'],
  ['both held from a dit alternate', [[0, '+dit'], [10, '+dah'], [850, '-dit'], [850, '-dah']], '.-.-', '.-.-.'],
  ['both held from a dah alternate', [[0, '+dah'], [10, '+dit'], [850, '-dit'], [850, '-dah']], '-.-', '-.-.'],
  ['both let go in the first element', [[0, '+dit'], [10, '+dah'], [60, '-dit'], [60, '-dah']], '.-', '.-'],
  ['both let go in the second element', [[0, '+dit'], [10, '+dah'], [300, '-dit'], [300, '-dah']], '.-', '.-.'],
  ['one let go, the other goes on', [[0, '+dit'], [10, '+dah'], [300, '-dit'], [1010, '-dah']], '.---', '.-.-'],
];

for (const [claim, does, ends, adds] of TABLE) {
  test(`keyer: ${claim}`, () => {
    assert.equal(played(does, { way: 'ends' }).text, ends, 'ends with the element');
    assert.equal(played(does, { way: 'adds' }).text, adds, 'adds one more');
  });
}

test('elements last one dit and three, each with a dit of silence', () => {
  const { sent } = played([[0, '+dit'], [10, '+dah'], [850, '-dit'], [850, '-dah']]);
  assert.deepEqual(sent.slice(0, 3).map(({ onMs, offMs, endMs }) => [onMs, offMs, endMs]), [[0, 100, 200], [200, 500, 600], [600, 700, 800]]);
});

test('weight lengthens what sounds at the cost of the silence, and leaves the speed as it is', () => {
  const heavy = played([[0, '+dit'], [10, '+dah'], [850, '-dit'], [850, '-dah']], { weight: 60 }).sent;
  assert.deepEqual(heavy.slice(0, 2).map(({ onMs, offMs, endMs }) => [onMs, offMs, endMs].map(Math.round)), [[0, 120, 200], [200, 520, 600]]);
});

test('whatever the fingers do, elements never overlap, and what both ways begin with is the same', () => {
  forSeeds(200, (random) => {
    let atMs = 0;
    const state = { dit: false, dah: false };
    const does = Array.from({ length: 12 }, () => {
      atMs += 20 + 400 * random();
      const paddle = random() < 0.5 ? 'dit' : 'dah';
      state[paddle] = !state[paddle];
      return [atMs, `${state[paddle] ? '+' : '-'}${paddle}`];
    });
    for (const paddle of ['dit', 'dah']) if (state[paddle]) does.push([atMs + 500, `-${paddle}`]);
    for (const way of ['ends', 'adds']) {
      const { sent } = played(does, { way });
      for (let i = 1; i < sent.length; i += 1) assert.ok(sent[i].onMs >= sent[i - 1].endMs - 1e-6);
      assert.ok(sent.length > 0);
    }
  });
});
