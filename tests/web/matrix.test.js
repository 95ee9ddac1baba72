import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { SYMBOLS, inTableOrder } from '../../static/js/core/alphabet.js';
import { BLANK } from '../../static/js/core/copy.js';
import { MISSED, cellSize, losses, movedBy, signsIn, tableOf, worstCell } from '../../static/js/core/matrix.js';
import { inOrder } from '../../static/js/core/orders.js';
import { classNews, listed } from '../../static/js/core/wall_words.js';

/** Invented: V sent ten times, six right, three written as 4; 4 sent five times; one mark where nothing was sent. */
const CELLS = [
  ['V', 'V', 6], ['V', '4', 3], ['V', BLANK, 1],
  ['4', '4', 4], ['4', MISSED, 1],
  ['', 'V', 2],
];

const cell = (table, sent, written) =>
  table.rows.find((row) => row.sent === sent).cells.find(({ column }) => column.sign === written);

test('a row of the table sums to the sendings, blanks and missed included', () => {
  const { rows } = tableOf(CELLS, ['V', '4']);
  assert.deepEqual(rows.map(({ sent, of, right }) => [sent, of, right]), [['V', 10, 6], ['4', 5, 4], ['', 0, 0]]);
  for (const row of rows.slice(0, 2)) assert.equal(row.cells.reduce((sum, one) => sum + one.count, 0), row.of);
});

test('columns stand in the order of the rows, then blank and missed', () => {
  const { columns } = tableOf(CELLS, ['4', 'V']);
  assert.deepEqual(columns.map(({ kind, sign }) => kind === 'symbol' ? sign : kind), ['4', 'V', 'blank', 'missed']);
});

test('a written symbol that the filter leaves out is counted as other', () => {
  const table = tableOf(CELLS, ['V']);
  assert.equal(cell(table, 'V', 'other').count, 3);
  assert.equal(table.copied, 10);
  assert.equal(table.rows.some((row) => row.sent === '4'), false);
});

test('without a filter no column other is drawn', () => {
  assert.equal(tableOf(CELLS, ['V', '4']).columns.some(({ kind }) => kind === 'other'), false);
});

test('blank and missed are gaps, never wrong', () => {
  const table = tableOf(CELLS, ['V', '4']);
  assert.deepEqual([cell(table, 'V', BLANK).kind, cell(table, '4', MISSED).kind], ['gap', 'gap']);
});

test('extra marks have a count and no share', () => {
  const extra = cell(tableOf(CELLS, ['V', '4']), '', 'V');
  assert.deepEqual([extra.count, extra.share], [2, 0]);
});

test('confusion grows with the count, but one slip in two sendings stays pale', () => {
  const level = (wrong, right) => cell(tableOf([['A', 'N', wrong], ['A', 'A', right]], ['A', 'N']), 'A', 'N').level;
  assert.equal(level(1, 1), 1);
  assert.ok(level(3, 20) > level(1, 20));
  assert.ok(level(9, 33) > level(3, 33));
  assert.ok(level(9, 900) < level(9, 33));
});

test('an empty table has no rows', () => {
  assert.deepEqual(tableOf([], []).rows, []);
  assert.equal(worstCell(tableOf([], [])), null);
});

test('signs of a table are those sent or written, without blank and missed', () => {
  assert.deepEqual(signsIn(CELLS).sort(), ['4', 'V']);
});

test('the worst cell is the largest off the diagonal, and one slip is none', () => {
  assert.deepEqual(worstCell(tableOf(CELLS, ['V', '4'])), { sent: 'V', written: '4', count: 3, of: 10, share: 0.3 });
  assert.equal(worstCell(tableOf([['A', 'N', 1], ['A', 'A', 9]], ['A', 'N'])), null);
});

test('what a row lost comes the most first', () => {
  const [row] = tableOf(CELLS, ['V', '4']).rows;
  assert.deepEqual(losses(row).map(({ column, count }) => [column.kind, count]), [['symbol', 3], ['blank', 1]]);
});

/** Keys as in the grid pattern of the ARIA Authoring Practices Guide. */
const KEYS = [
  ['ArrowRight', false, { row: 1, column: 2 }], ['ArrowLeft', false, { row: 1, column: 0 }],
  ['ArrowUp', false, { row: 0, column: 1 }], ['ArrowDown', false, { row: 2, column: 1 }],
  ['Home', false, { row: 1, column: 0 }], ['End', false, { row: 1, column: 3 }],
  ['Home', true, { row: 0, column: 0 }], ['End', true, { row: 2, column: 3 }],
  ['x', false, { row: 1, column: 1 }],
];
for (const [key, ctrlKey, to] of KEYS) {
  test(`${ctrlKey ? 'Control and ' : ''}${key} moves as the grid pattern says`, () => {
    assert.deepEqual(movedBy({ row: 1, column: 1 }, { key, ctrlKey }, { rows: 3, columns: 4 }), to);
  });
}

test('arrow keys stop at the edges', () => {
  assert.deepEqual(movedBy({ row: 0, column: 0 }, { key: 'ArrowUp', ctrlKey: false }, { rows: 3, columns: 4 }), { row: 0, column: 0 });
  assert.deepEqual(movedBy({ row: 2, column: 3 }, { key: 'ArrowRight', ctrlKey: false }, { rows: 3, columns: 4 }), { row: 2, column: 3 });
});

test('cells are never smaller than the 24 pixels of WCAG 2.2, 2.5.8', () => {
  for (let symbols = 1; symbols <= 55; symbols += 1) {
    const size = cellSize({ width: 700, height: 330 }, symbols, symbols + 2);
    if (size !== null) assert.ok(size.width >= 24 && size.height >= 24, `${symbols} symbols`);
  }
  assert.equal(cellSize({ width: 700, height: 330 }, 30, 32), null);
  assert.notEqual(cellSize({ width: 700, height: 330 }, 9, 11), null);
});

test('alphabetical order puts letters before figures before marks', () => {
  assert.deepEqual(inOrder('?4ZA0', 'alphabet', ''), ['A', 'Z', '0', '4', '?']);
});

test('order by likeness is the order that the room tells', () => {
  assert.deepEqual(inOrder('AVU4', 'likeness', 'EISHV4UA'), ['V', '4', 'U', 'A']);
});

test('both orders hold the same signs', () => {
  const all = SYMBOLS.map(({ sign }) => sign);
  assert.deepEqual(inOrder(all, 'likeness', 'KM').sort(), inOrder(all, 'alphabet', '').sort());
});

test('the symbols are those of the server, sound for sound', () => {
  const source = readFileSync(new URL('../../server/copyroom/core/alphabet.py', import.meta.url), 'utf8');
  for (const { sign, elements, kind, added } of SYMBOLS) {
    if (kind === 'figure') continue;
    const quoted = sign === '"' ? `'"'` : `"${sign}"`;
    const written = kind === 'letter' && !added ? source.includes(`${sign} ${elements} `) || source.includes(`${sign} ${elements}"`)
      : source.includes(`Symbol(${quoted}, "${elements}"`);
    assert.ok(written, `${sign} ${elements}`);
  }
  assert.equal(SYMBOLS.length, new Set(SYMBOLS.map(({ elements }) => elements)).size);
});

test('figures have five elements: dots then dashes to 5, dashes then dots from 6 ', () => {
  const figures = SYMBOLS.filter(({ kind }) => kind === 'figure').map(({ elements }) => elements);
  assert.deepEqual(figures, ['-----', '.----', '..---', '...--', '....-', '.....', '-....', '--...', '---..', '----.']);
});

test('signs stand once each, in the order of the table', () => {
  assert.deepEqual(inTableOrder('V4AA'), ['A', 'V', '4']);
});

test('the wall names what most have, and one pair that is mixed up', () => {
  const table = tableOf([['A', 'A', 19], ['A', 'N', 1], ['V', 'V', 12], ['V', '4', 6], ['4', '4', 2]], ['A', 'N', 'V', '4']);
  assert.deepEqual(classNews(table, [{ sent: 'V', written: '4' }]), { have: ['A'], alike: ['V', '4'] });
  assert.equal(listed(['A', 'D', 'N']), 'A, D and N');
  assert.equal(listed(['A']), 'A');
});

test('what chance explains is no news for the wall', () => {
  const table = tableOf([['V', 'V', 12], ['V', '4', 6]], ['V', '4']);
  assert.equal(classNews(table, []).alike, null);
});

test('by need: what is heard least comes first, what was not sent last', () => {
  const heard = new Map([['A', 0.9], ['V', 0.5], ['N', 0.7]]);
  assert.deepEqual(inOrder(['A', 'E', 'N', 'V'], 'need', '', heard), ['V', 'N', 'A', 'E']);
});
