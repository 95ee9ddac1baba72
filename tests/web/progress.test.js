import assert from 'node:assert/strict';
import { test } from 'node:test';
import { dateOfDay, localDay } from '../../static/js/core/days.js';
import { curveOf, heldOf, inFigures, inSounds, learnerRows, symbolRows } from '../../static/js/core/progress.js';

/** Invented: two evenings with something counted, one without; Ben missed the second. */
const PROGRESS = {
  meetings: [
    { number: 1, day: 20_000, runs: 3, recall: [['N', 8, 10, 0.49, 0.94, true], ['A', 9, 10, 0.6, 0.98, true]], seats: [[2, 7, 10, 0.4, 0.89], [1, 10, 10, 0.72, 1]] },
    { number: 2, day: 20_003, runs: 0, recall: [], seats: [] },
    { number: 3, day: 20_007, runs: 2, recall: [['A', 10, 10, 0.72, 1, true], ['0', 1, 2, 0.09, 0.91, false]], seats: [[1, 9, 10, 0.6, 0.98]] },
  ],
  seats: [{ seat: 2, name: 'Ben' }, { seat: 1, name: 'ana' }, { seat: 3, name: 'Cleo' }],
};
const HELD = heldOf(PROGRESS);

test('meetings without a counted run are left out', () => {
  assert.deepEqual(HELD.map(({ number }) => number), [1, 3]);
});

test('symbols stand in table order, with a gap where a meeting had none of them', () => {
  const rows = symbolRows(HELD);
  assert.deepEqual(rows.map(({ name }) => name), ['A', 'N', '0']);
  assert.deepEqual(rows.map(({ figures }) => figures.map((figure) => figure?.right ?? null)), [[9, 10], [8, null], [null, 1]]);
  assert.equal(rows[2].figures[1]?.enough, false);
});

test('learners stand by name, whatever they got right, and only those who copied', () => {
  const rows = learnerRows(PROGRESS, HELD);
  assert.deepEqual(rows.map(({ name }) => name), ['ana', 'Ben']);
  assert.deepEqual(rows[1].figures.map((figure) => figure?.right ?? null), [7, null]);
});

test('a curve has a gap where there is no figure', () => {
  assert.deepEqual(curveOf(learnerRows(PROGRESS, HELD)[1].figures), [[0, 1], [40, null], [89, null], [70, null]]);
});

test('the table says what the chart draws', () => {
  assert.deepEqual([inFigures(HELD.length > 0 ? symbolRows(HELD)[0].figures[0] : null), inFigures(null)], ['90 (60 to 98)', '']);
});

test('a day number is the date of that many days after the first of January 1970', () => {
  const date = dateOfDay(20_000); // 2024-10-04, by `date -u -d @1728000000`
  assert.deepEqual([date.getFullYear(), date.getMonth(), date.getDate()], [2024, 9, 4]);
  assert.equal(localDay(date), 20_000);
});

test('sounds known are said as sounds, never as a percent of so many', () => {
  assert.equal(inSounds({ right: 3.14, of: 40, low: 0.06, high: 0.09, enough: true }), '3.1 (2.4 to 3.6)');
});
