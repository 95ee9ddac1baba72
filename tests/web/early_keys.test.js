/** Keys pressed before a page has come back are kept through its reload, in the time in which they were pressed. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { inPageTime, withKey } from '../../static/js/core/early_keys.js';

test('keys keep their order and their time through a reload', () => {
  const before = withKey(withKey([], 'K', 900, 1_000_000), 'M', 1100, 1_000_000);
  const after = inPageTime(before, 400, 1_001_500);
  assert.deepEqual(after, [{ sign: 'K', pageMs: -600 }, { sign: 'M', pageMs: -400 }]);
});

test('what lay there from another run is not written', () => {
  assert.deepEqual(inPageTime(withKey([], 'K', 0, 1_000_000), 61_000, 1_000_000), []);
});

test('a key held down while nobody answers does not grow for ever', () => {
  let early = /** @type {import('../../static/js/core/early_keys.js').Early} */ ([]);
  for (let n = 0; n < 1000; n += 1) early = withKey(early, 'E', n, 0);
  assert.equal(early.length, 200);
  assert.equal(early.at(-1)?.[1], 999);
});
