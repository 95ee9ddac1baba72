import assert from 'node:assert/strict';
import { test } from 'node:test';
import { PURPOSES } from '../../static/js/core/console_state.js';
import { practiceNote } from '../../static/js/core/practice.js';

const INVENTED = ['calls', 'contact', 'message'];

test('invented calls, contacts and messages are called practice by composer and phone, other texts are not', () => {
  for (const [purpose, { name }] of Object.entries(PURPOSES)) {
    assert.equal(/practice/i.test(name), INVENTED.includes(purpose), purpose);
    assert.equal(/practice.*invented/i.test(practiceNote(/** @type {any} */ (purpose))), INVENTED.includes(purpose), purpose);
  }
  assert.equal(practiceNote(undefined), '');
});
