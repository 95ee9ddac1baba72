/**
 * The class table as it is drawn: from the wire's cells to rows, columns, shares and strengths of colour. Pure.
 *
 * Rows are what was sent, columns what was written. After the symbols come "blank" and "missed", and "other" when a
 * filter leaves some written symbol out: nothing that was counted disappears. The last row holds marks for which
 * nothing was sent.
 */
import { BLANK } from './copy.js';

/** What stands in the wire's cells for a mark without a sound, and for a missed sound. */
export const EXTRA = '';
export const MISSED = '';

/** @typedef {'symbol' | 'blank' | 'missed' | 'other'} ColumnKind */
/** @typedef {{ kind: ColumnKind, sign: string }} Column */

/**
 * @typedef {object} Cell
 * @property {Column} column
 * @property {number} count
 * @property {number} share  of the row's sendings; 0 in the row of extra marks
 * @property {'right' | 'wrong' | 'gap' | 'none'} kind
 * @property {number} level  strength of colour: 0 none, right 1 to 4, wrong 1 to 5
 */

/**
 * @typedef {object} Row
 * @property {string} sent  "" for extra marks
 * @property {number} of  how often it was sent and heard
 * @property {number} right
 * @property {Cell[]} cells
 */

/** @typedef {{ columns: Column[], rows: Row[], copied: number, right: number }} Table */

/** @typedef {readonly (readonly (string | number)[])[]} WireCells  [sent, written, count] */

/**
 * The signs that a table has something to say about.
 * @param {WireCells} cells
 */
export function signsIn(cells) {
  const signs = cells.flatMap(([sent, written]) => [String(sent), String(written)]);
  return [...new Set(signs)].filter((sign) => sign !== '' && sign !== BLANK);
}

/**
 * @param {WireCells} cells
 * @param {readonly string[]} signs  rows and columns, in their order; what else was written is "other"
 * @returns {Table}
 */
export function tableOf(cells, signs) {
  const counts = countsOf(cells, signs);
  const others = [...counts.values()].some((row) => (row.get('other') ?? 0) > 0);
  /** @type {Column[]} */
  const columns = [
    ...signs.map((sign) => ({ kind: /** @type {const} */ ('symbol'), sign })),
    ...(others ? [{ kind: /** @type {const} */ ('other'), sign: 'other' }] : []),
    { kind: 'blank', sign: BLANK },
    { kind: 'missed', sign: MISSED },
  ];
  const rows = signs.map((sent) => rowOf(sent, counts.get(sent) ?? new Map(), columns));
  const extra = counts.get(EXTRA);
  if (extra !== undefined) rows.push(rowOf(EXTRA, extra, columns));
  const sums = rows.filter((row) => row.sent !== EXTRA);
  return {
    columns,
    rows,
    copied: sums.reduce((sum, row) => sum + row.of, 0),
    right: sums.reduce((sum, row) => sum + row.right, 0),
  };
}

/**
 * Per sent sign in play (and for extra marks), how often each column came.
 * @param {WireCells} cells
 * @param {readonly string[]} signs
 */
function countsOf(cells, signs) {
  /** @type {Map<string, Map<string, number>>} */
  const counts = new Map();
  for (const [sent, written, count] of cells) {
    if (sent !== EXTRA && !signs.includes(String(sent))) continue;
    const row = counts.get(String(sent)) ?? new Map();
    const known = written === BLANK || written === MISSED || signs.includes(String(written));
    const column = known ? String(written) : 'other';
    row.set(column, (row.get(column) ?? 0) + Number(count));
    counts.set(String(sent), row);
  }
  return counts;
}

/**
 * @param {string} sent
 * @param {ReadonlyMap<string, number>} counts
 * @param {readonly Column[]} columns
 * @returns {Row}
 */
function rowOf(sent, counts, columns) {
  const of = sent === EXTRA ? 0 : [...counts.values()].reduce((sum, count) => sum + count, 0);
  const cells = columns.map((column) => cellOf(sent, column, counts.get(column.sign) ?? 0, of));
  return { sent, of, right: of === 0 ? 0 : (counts.get(sent) ?? 0), cells };
}

/** @param {string} sent @param {Column} column @param {number} count @param {number} of @returns {Cell} */
function cellOf(sent, column, count, of) {
  const share = of === 0 ? 0 : count / of;
  const gap = column.kind === 'blank' || column.kind === 'missed';
  const kind = gap ? 'gap' : count === 0 ? 'none' : column.sign === sent ? 'right' : 'wrong';
  const level = kind === 'right' ? rightLevel(share) : kind === 'wrong' ? wrongLevel(count, share, sent) : 0;
  return { column, count, share, kind, level };
}

/** Agreement recedes: four quiet steps. @param {number} share */
function rightLevel(share) {
  return 1 + [0.5, 0.7, 0.85].filter((least) => share >= least).length;
}

/**
 * Confusion grows with the count and with the part of the row that it takes: one slip in two sendings is not yet
 * worth a strong colour, nor is three in a thousand.
 * @param {number} count
 * @param {number} share
 * @param {string} sent
 */
function wrongLevel(count, share, sent) {
  const byCount = 1 + [2, 3, 5, 8].filter((least) => count >= least).length;
  const byShare = 1 + [0.04, 0.08, 0.12, 0.16].filter((least) => share >= least).length;
  return sent === EXTRA ? Math.min(byCount, 2) : Math.min(byCount, byShare);
}

/** @typedef {{ row: number, column: number }} Place */

/**
 * Where a key leads in a grid; the same place when the key is none of the grid's.
 * @param {Place} place
 * @param {{ key: string, ctrlKey: boolean }} pressed
 * @param {{ rows: number, columns: number }} size
 * @returns {Place}
 */
export function movedBy({ row, column }, { key, ctrlKey }, { rows, columns }) {
  const last = { row: rows - 1, column: columns - 1 };
  switch (key) {
    case 'ArrowUp': return { row: Math.max(0, row - 1), column };
    case 'ArrowDown': return { row: Math.min(last.row, row + 1), column };
    case 'ArrowLeft': return { row, column: Math.max(0, column - 1) };
    case 'ArrowRight': return { row, column: Math.min(last.column, column + 1) };
    case 'Home': return { row: ctrlKey ? 0 : row, column: 0 };
    case 'End': return { row: ctrlKey ? last.row : row, column: last.column };
    default: return { row, column };
  }
}

/** The rows that lost something, the most first. @param {Table} table */
export function mostLost({ rows }) {
  return rows.filter((row) => row.right < row.of).sort((a, b) => (b.of - b.right) - (a.of - a.right));
}

/** What a row lost, the most first: other signs, blanks, missed. @param {Row} row */
export function losses(row) {
  return row.cells.filter((cell) => cell.count > 0 && cell.kind !== 'right').sort((a, b) => b.count - a.count);
}

/**
 * The cell off the diagonal with the highest count, by its share where counts are equal.
 * @param {Table} table
 * @returns {{ sent: string, written: string, count: number, of: number } | null}
 */
export function worstCell({ rows }) {
  /** @type {{ sent: string, written: string, count: number, of: number, share: number } | null} */
  let worst = null;
  for (const { sent, of, cells } of rows) {
    if (sent === EXTRA) continue;
    for (const { column, count, share, kind } of cells) {
      if (kind !== 'wrong' || column.kind !== 'symbol' || count < 2) continue;
      if (worst !== null && (count < worst.count || (count === worst.count && share <= worst.share))) continue;
      worst = { sent, written: column.sign, count, of, share };
    }
  }
  return worst;
}

/**
 * What cells may be and what stands beside them, in pixels.
 * @typedef {object} Limits
 * @property {number} smallest
 * @property {{ width: number, height: number }} largest
 * @property {{ width: number, height: number }} beside  heads, blank and missed, how much was heard right
 */

/** @type {Limits} */
const ON_CONSOLE = Object.freeze({
  smallest: 24, largest: { width: 52, height: 36 }, beside: { width: 36 + 2 * 50 + 116, height: 28 },
});
const GAP = 2;

/**
 * Cells as large as the box allows; null when they would be too small to read or to touch.
 * @param {{ width: number, height: number }} box
 * @param {number} rows
 * @param {number} columns  with blank and missed
 * @param {Limits} [limits]
 */
export function cellSize(box, rows, columns, { smallest, largest, beside } = ON_CONSOLE) {
  const width = Math.min(largest.width, Math.floor((box.width - beside.width) / (columns - 2)) - GAP);
  const height = Math.min(largest.height, Math.floor((box.height - beside.height) / rows) - GAP);
  return width < smallest || height < smallest ? null : { width, height };
}
