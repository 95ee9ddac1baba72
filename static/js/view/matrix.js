/**
 * The class table: rows sent, columns written, then blank and missed. Numbers everywhere, colour besides; one cell
 * at a time is in the tab order, and the arrow keys walk (the grid pattern of the ARIA Authoring Practices).
 */
import { html, useLayoutEffect, useRef, useState } from '../../vendor/preact.js';
import { EXTRA, movedBy } from '../core/matrix.js';
import { percent } from '../core/units.js';
import { Sign, spoken } from './parts/sign.js';
import { plainly } from './console/signs.js';

/** @import { Cell, Place, Row, Table } from '../core/matrix.js' */
/** @import { Recall } from '../core/findings.js' */

/**
 * @param {object} props
 * @param {Table} props.table
 * @param {'counts' | 'shares'} props.figures
 * @param {string} props.caption
 * @param {boolean} [props.recall]  with how much of each row was heard right
 * @param {Map<string, Recall>} [props.known]  how sure that is, by sign
 * @param {ReadonlySet<string>} [props.marked]  cells found more often than chance gives, as sent + written
 * @param {(sent: string, written: string) => void} [props.onCell]  without it a plain table
 */
export function Matrix({ table, figures, caption, onCell, recall = true, known, marked }) {
  const [active, setActive] = useState({ row: 0, column: 0 });
  const body = useRef(/** @type {HTMLElement | null} */ (null));
  const { rows, columns } = table;
  const row = Math.min(active.row, rows.length - 1);
  const column = Math.min(active.column, columns.length - 1);

  const onKeyDown = (/** @type {KeyboardEvent} */ event) => {
    if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      open(rows[row], rows[row].cells[column], onCell);
      return;
    }
    const next = movedBy({ row, column }, event, { rows: rows.length, columns: columns.length });
    if (next.row === row && next.column === column) return;
    event.preventDefault();
    setActive(next);
    cellAt(body.current, next)?.focus();
  };

  return html`<table class="matrix" role=${onCell ? 'grid' : undefined} aria-label=${caption}>
    <thead>
      <tr role=${onCell ? 'row' : undefined}>
        <th class="corner" scope="col"><span class="unseen">sent</span></th>
        ${columns.map(({ kind, sign }, k) => html`<th scope="col" key=${`${kind}${sign}`} data-kind=${kind}
          data-lit=${onCell && k === column ? '' : undefined}>
          ${kind === 'symbol' ? html`<${Sign} sign=${sign} />` : kind}</th>`)}
        ${recall && html`<th scope="col" class="recall-head">heard right</th>`}
      </tr>
    </thead>
    <tbody ref=${body} onKeyDown=${onCell && onKeyDown}>
      ${rows.map((one, r) => html`<tr key=${one.sent} role=${onCell ? 'row' : undefined}
        data-extra=${one.sent === EXTRA ? '' : undefined}>
        <th scope="row" data-lit=${onCell && r === row ? '' : undefined}>
          ${one.sent === EXTRA ? html`<span title="Marks written where nothing was sent">extra</span>` : html`<${Sign} sign=${one.sent} />`}
        </th>
        ${one.cells.map((cell, k) => html`<td key=${k} role=${onCell ? 'gridcell' : undefined} data-kind=${cell.kind}
          data-level=${cell.level || undefined} data-marked=${marked?.has(one.sent + cell.column.sign) ? '' : undefined}
          aria-label=${onCell ? labelOf(one, cell, marked) : undefined}
          tabindex=${onCell ? (r === row && k === column ? 0 : -1) : undefined}
          onFocus=${onCell && (() => setActive({ row: r, column: k }))}
          onClick=${onCell && (() => open(one, cell, onCell))}>${figureOf(one, cell, figures)}</td>`)}
        ${recall && html`<td class="recall" role=${onCell ? 'gridcell' : undefined}>${one.of > 0 && html`<${RecallLine} row=${one} known=${known?.get(one.sent)} />`}</td>`}
      </tr>`)}
    </tbody>
  </table>`;
}

/**
 * How much of a row was heard right, on a line from 0 to 100 with its 95 % interval.
 * @param {{ row: Row, known: Recall | undefined }} props
 */
export function RecallLine({ row, known }) {
  const { right, of } = known ? { right: known.right, of: known.sendings } : row;
  if (isFew(row, known)) return html`<span class="recall-few" title="Too few for a share">${right} of ${of}</span>`;
  const sure = known ? `, between ${percent(known.low)} and ${percent(known.high)}` : '';
  return html`<span class="recall-line" aria-hidden="true"
      style=${{ '--share': right / of, '--low': known?.low ?? 0, '--high': known?.high ?? 0 }}
      data-known=${known === undefined ? undefined : ''}></span>
    <span class="recall-figure" title=${`${right} of ${of}${sure}`}>${percent(right / of)}<span class="unseen"> %, ${right} of ${of}${sure}</span></span>`;
}

/** As the server's evidence has it: below, only the count is shown. */
const FEWEST_SENDINGS = 5;

/** @param {Row} row @param {Recall | undefined} known */
export const isFew = (row, known) => !(known?.enough ?? row.of >= FEWEST_SENDINGS);

/** @param {Row} row @param {Cell} cell @param {((sent: string, written: string) => void) | undefined} onCell */
function open(row, cell, onCell) {
  if (cell.count > 0 && cell.column.kind !== 'other') onCell?.(row.sent, cell.column.sign);
}

/** @param {HTMLElement | null} body @param {Place} place */
function cellAt(body, { row, column }) {
  return /** @type {HTMLElement | undefined} */ (body?.children[row]?.children[column + 1]);
}

/** @param {Row} row @param {Cell} cell @param {'counts' | 'shares'} figures */
function figureOf(row, cell, figures) {
  if (cell.count === 0) return '·';
  return figures === 'counts' || row.of === 0 ? cell.count : percent(cell.share);
}

/** @param {Row} row @param {Cell} cell @param {ReadonlySet<string>} [marked] */
function labelOf({ sent, of }, { column, count, share }, marked) {
  const what = { symbol: `written ${spoken(column.sign)}`, blank: 'left blank', missed: 'missed', other: 'written another sign' };
  if (sent === EXTRA) return `nothing sent, ${what[column.kind]}: ${count}`;
  const part = of === 0 || count === 0 ? `${count}` : `${count} of ${of}, ${percent(share)} percent`;
  const often = marked?.has(sent + column.sign) ? ', more often than chance' : '';
  return `sent ${spoken(sent)}, ${what[column.kind]}: ${part}${often}`;
}

/** One cell in words, for a sentence. @param {string} sent @param {string} written */
export function cellWords(sent, written) {
  if (sent === EXTRA) return `${plainly(written)} where nothing was sent`;
  if (written === '') return `${plainly(sent)} missed`;
  return written === '_' ? `${plainly(sent)} left blank` : `${plainly(sent)} written as ${plainly(written)}`;
}

/**
 * The room that an element has, now and whenever it changes.
 * @returns {[import('../../vendor/preact/hooks.js').MutableRef<HTMLElement | null>, { width: number, height: number }]}
 */
export function useBox() {
  const box = useRef(/** @type {HTMLElement | null} */ (null));
  const [size, setSize] = useState({ width: 0, height: 0 });
  useLayoutEffect(() => {
    const element = /** @type {HTMLElement} */ (box.current);
    const look = () => setSize({ width: element.clientWidth, height: element.clientHeight });
    const observer = new ResizeObserver(look);
    observer.observe(element);
    look();
    return () => observer.disconnect();
  }, []);
  return [box, size];
}
