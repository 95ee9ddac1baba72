/** A check in words and rows: what a rule says, and a marked copy as an examiner has it. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { OFFERS } from '../../static/js/exercises/check_offers.js';
import { passing, rowsOf, ruleOf, spokenRow } from '../../static/js/exercises/check/words.js';

const RESULT = {
  meets: false, ways: [], sent: 'TENT ', written: 'T_NXE', verdicts: 'rmrwx', run_from: 2, run_to: 3,
  overruled: [{ number: 3, right: true, reason: 'read back' }],
};

test('ways to pass are said in counted characters of the speed', () => {
  assert.equal(passing({ kind: 'unbroken', amount: 1, of: 0 }, 13), '65 counted characters in a row without an error');
  assert.equal(passing({ kind: 'errors', amount: 0, of: 0 }, 5), 'no error in the whole');
  assert.equal(passing({ kind: 'errors', amount: 1, of: 0 }, 5), 'at most 1 error');
  assert.equal(passing({ kind: 'questions', amount: 7, of: 10 }, 5), '7 of 10 questions on the text');
});

test('a rule says which speed is meant, and how long its text is', () => {
  const [law, keyed] = ['us-2007', 'cept'].map((key) => OFFERS.find((form) => form.key === key));
  assert.ok(law && keyed);
  assert.match(ruleOf(law, 5)[0], /5 wpm by counted characters, five a word; 125 counted characters/);
  assert.match(ruleOf(keyed, 12)[0], /12 wpm of the keying \(PARIS\)/);
});

test('a decision that an examiner overruled keeps the marker’s beside it', () => {
  const rows = rowsOf(RESULT);
  assert.deepEqual(rows.map(({ verdict }) => verdict), ['right', 'missing', 'right', 'wrong', 'too many']);
  assert.deepEqual(rows.map(({ right }) => right), [true, false, true, true, false]);
  assert.deepEqual(rows.map(({ inRun }) => inRun), [false, false, true, false, false]);
  assert.equal(spokenRow(rows[3]), 'T, X written: wrong; the examiner: right, read back');
  assert.equal(spokenRow(rows[1]), 'E, nothing written: missing');
  assert.equal(spokenRow(rows[4]), 'E beside the text: too many');
});
