import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { tapped } from '../../static/js/exercises/net/draft.js';
import { answerText, questionText, readAnswer, readQuestion, said } from '../../static/js/core/procedure.js';

/** The rows that pytest reads, too; each names its source. */
const { parts, own, rows } = JSON.parse(readFileSync(new URL('../data/procedure.json', import.meta.url), 'utf-8'));
const HUT = ['HUT', 'RIVER', 'SEVEN', 'TENTS'];
const CALLS = ['D2DU', 'K2KF', 'B7RM'];

test('a question asks for what its source says', () => {
  assert.ok(rows.length > 30);
  for (const { text, to, form, groups, said: words, fault, source } of rows) {
    const read = readQuestion(text, own, parts);
    assert.deepEqual({ to: read.to, form: read.form, groups: read.groups, said: said(read), fault: read.fault },
      { to, form, groups, said: words, fault }, `${text} (${source})`);
  }
});

test('a group that one does not have can be named by nobody', () => {
  const mine = [{ call: 'K2KF', groups: ['NEED'] }, { call: 'B7RM', groups: ['HUT', '', 'SEVEN', ''] }];
  assert.deepEqual(readQuestion(questionText('B7RM', 'K2KF', 'WA', ['HUT']), [0], mine).groups, [1]);
  assert.equal(readQuestion('? WA RIVER K', [0], mine).fault, 'There is no group RIVER in that part.');
});

test('an answer is counted against what was asked', () => {
  const asked = readQuestion('B7RM DE K2KF ? WA HUT K', [1], parts);
  const right = answerText('K2KF', 'B7RM', asked, ['RIVER']);
  assert.equal(right, 'K2KF DE B7RM WA HUT RIVER K');
  assert.deepEqual(readAnswer(right, asked, CALLS, HUT), { begins: true, given: 1, strange: [], extra: 0, lacking: 0 });
  const more = readAnswer('K2KF DE B7RM WA HUT RIVER SEVEN K', asked, CALLS, HUT);
  assert.deepEqual([more.given, more.extra, more.lacking], [2, 1, 0]);
  const other = readAnswer('K2KF DE B7RM RIVVER K', asked, CALLS, HUT);
  assert.deepEqual([other.begins, other.strange, other.lacking], [false, ['RIVVER'], 1]);
});

test('a tap on a group names it, a tap on a gap says whose part is meant', () => {
  const empty = { to: -1, form: 'BN', named: [] };
  const tap = (draft, part, group) => tapped(draft, { part, place: 0, group, state: group === '' ? 'm' : 'c' });
  assert.deepEqual(tap(empty, 2, ''), { to: 2, form: 'BN', named: [] });
  const two = tap(tap(empty, 2, 'HUT'), 2, 'TENTS');
  assert.deepEqual(two.named, ['HUT', 'TENTS']);
  assert.deepEqual(tap(two, 2, 'HUT').named, ['TENTS']);
  assert.deepEqual(tap(two, 1, 'NEED'), { to: 1, form: 'BN', named: ['NEED'] });
  assert.deepEqual(tap({ ...two, form: 'WA' }, 2, 'SEVEN').named, ['SEVEN']);
});
