/** With more symbols than fit: the rows that lost most, in words, and the way to the whole table. */
import { html } from '../../../vendor/preact.js';
import { EXTRA, losses, mostLost } from '../../core/matrix.js';
import { SCOPE_WORDS } from '../../core/findings.js';
import { useDesk, useDialog } from './desk.js';
import { RecallLine, isFew } from '../matrix.js';
import { Sign, spoken } from '../parts/sign.js';

const ROW_PX = 36;
const HEAD_PX = 44;

/** @param {{ table: import('../../core/matrix.js').Table, known: Map<string, import('../../core/findings.js').Recall>,
 *   scope: import('../../core/findings.js').Scope, height: number }} props */
export function Attention({ table, known, scope, height }) {
  const open = useDialog();
  const shown = Math.max(4, Math.floor((height - HEAD_PX) / ROW_PX));
  const sent = table.rows.filter((row) => row.sent !== EXTRA && row.of > 0);
  const lost = mostLost(table);
  return html`<div class="attention">
    <div class="attention-head">
      <span>${lost.length === 0 ? `Everything was heard right ${SCOPE_WORDS[scope]}.`
        : `Where most was lost ${SCOPE_WORDS[scope]}, ${Math.min(shown, lost.length)} of ${sent.length} sounds`}</span>
      <button type="button" class="button" data-size="small" onClick=${() => open('table')}>The whole table</button>
    </div>
    <ul role="list">
      ${lost.slice(0, shown).map((row) => html`<${LostRow} key=${row.sent} row=${row} known=${known.get(row.sent)} scope=${scope} />`)}
    </ul>
  </div>`;
}

/** @param {{ row: import('../../core/matrix.js').Row, known: import('../../core/findings.js').Recall | undefined,
 *   scope: import('../../core/findings.js').Scope }} props */
function LostRow({ row, known, scope }) {
  const { dispatch, send } = useDesk();
  const show = (/** @type {string} */ written) => {
    dispatch({ type: 'dialog', dialog: 'cell' });
    send('show_cell', { sent: row.sent, written, scope });
  };
  return html`<li class="lost">
    <span class="lost-sign"><${Sign} sign=${row.sent} /></span>
    <span><${RecallLine} row=${row} known=${known} /></span>
    <span class="lost-of">${isFew(row, known) ? '' : `${row.right} of ${row.of}`}</span>
    <span class="lost-to">
      ${losses(row).slice(0, 5).map(({ column, count, kind, level }) => html`<button type="button" class="chip" key=${column.kind + column.sign}
        data-kind=${kind} data-level=${level || undefined} disabled=${column.kind === 'other'}
        onClick=${() => show(column.sign)}><span class="unseen">${spoken(row.sent)}, ${column.kind === 'symbol' ? 'written ' : ''}</span>${
          column.kind === 'symbol' ? html`<${Sign} sign=${column.sign} />` : column.kind} ${count}</button>`)}
    </span>
  </li>`;
}
