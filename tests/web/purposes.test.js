import assert from 'node:assert/strict';
import { test } from 'node:test';
import { COMPOSED, composedAs, practiceNote } from '../../static/js/core/purposes.js';
import { PURPOSES } from '../../static/js/wire.js';

const named = (/** @type {boolean} */ composed) => Object.keys(PURPOSES).filter((purpose) => PURPOSES[purpose].composed === composed);

test('invented calls, contacts and messages are called practice by composer and phone, other texts are not', () => {
  for (const [purpose, { practice }] of Object.entries(PURPOSES)) {
    assert.equal(/practice.*invented/i.test(practiceNote(/** @type {any} */ (purpose))), practice, purpose);
    if (purpose in COMPOSED) assert.equal(/practice/i.test(COMPOSED[purpose].name), practice, purpose);
  }
  assert.equal(practiceNote(undefined), '');
});

test('the composer has words for all that can be composed, and for nothing else', () => {
  assert.deepEqual(Object.keys(COMPOSED).sort(), named(true).sort());
});

test('one like a run that was made for an evening is composed as a mix', () => {
  assert.deepEqual(named(true).map(composedAs), named(true));
  assert.ok(named(false).every((purpose) => composedAs(purpose) === 'mix'));
});
