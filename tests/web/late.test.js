/** What could not be brought in time is kept by the run that it is of. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { withLetters } from '../../static/js/core/late.js';

const hand = (push, at_ms) => ({ name: 'raise_hand', payload: { push, at_ms } });

test('what waits of one run takes the place of what waited of it; another run keeps its own', () => {
  const before = [hand(3, 500), hand(3, 900), hand(4, 700)];
  assert.deepEqual(withLetters(before, 'raise_hand', 3, [{ push: 3, at_ms: 900 }]), [hand(4, 700), hand(3, 900)]);
  assert.deepEqual(withLetters(before, 'raise_hand', 4, []), [hand(3, 500), hand(3, 900)]);
});
