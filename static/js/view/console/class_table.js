/** What the class wrote: the table in the figures, order and extent asked for, as large as its place allows. */
import { html, useMemo } from '../../../vendor/preact.js';
import { SCOPE_WORDS, evidenceFor, pairFigures, recallOf } from '../../core/findings.js';
import { cellSize, signsIn, tableOf, worstCell } from '../../core/matrix.js';
import { inOrder } from '../../core/orders.js';
import { emptyWords } from '../../core/tables.js';
import { Matrix, cellWords, useBox } from '../matrix.js';
import { ticked } from '../parts/fields.js';
import { Attention } from './attention.js';
import { Choice } from '../parts/choice.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { Pair } from './hear_both.js';
import { plainly } from './signs.js';

/** @import { TableChoice } from '../../core/console_state.js' */
/** @import { Table } from '../../core/matrix.js' */
/** @typedef {ReturnType<typeof useTable>} Shown */

export function ClassTable() {
  const shown = useTable();
  const { table, caption, choice } = shown;
  const words = useConsole((state) => emptyWords(choice.scope, state));
  const open = useDialog();
  const empty = table.rows.length === 0;
  return html`<section class="class-table" aria-labelledby="table-title">
    <div class="panel-head">
      <h2 id="table-title">What the class wrote <span class="soft">${caption}</span></h2>
      ${!empty && html`<span>
        <button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => open('table')}>Whole page</button>
        <button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => window.print()}>Print</button>
      </span>`}
    </div>
    <${TableChoices} />
    ${empty ? html`<p class="soft empty">${words}</p>` : html`<${Fitted} shown=${shown} /><${Findings} shown=${shown} />`}
  </section>`;
}

/** The table as it is chosen now, what is known of it, and a few words on what it covers. */
export function useTable() {
  const told = useConsole((state) => state.table);
  const findings = useConsole((state) => state.findings);
  const choice = useConsole((state) => state.choice);
  const inPlay = useConsole((state) => state.run?.symbols ?? '');
  const alike = useConsole((state) => state.alike);
  const cells = told?.[choice.scope] ?? [];
  const table = useMemo(() => {
    const seen = signsIn(cells);
    const signs = choice.inPlayOnly ? inPlay : choice.scope === 'run' ? [...seen, ...inPlay] : seen;
    const heard = new Map(tableOf(cells, [...signs]).rows.filter(({ of }) => of > 0).map(({ sent, right, of }) => [sent, right / of]));
    return tableOf(cells, cells.length === 0 ? [] : inOrder(signs, choice.order, alike, heard));
  }, [cells, choice, inPlay, alike]);
  const evidence = evidenceFor(findings, told, choice.scope);
  const known = useMemo(() => recallOf(evidence), [evidence]);
  const marked = useMemo(() => new Set((evidence?.pairs ?? []).map((pair) => pair.sent + pair.written)), [evidence]);
  return { table, choice, evidence, known, marked, caption: captionOf(table, choice, told) };
}

/** @param {Table} table @param {TableChoice} choice @param {import('../../core/tables.js').Tables | null} told */
function captionOf(table, choice, told) {
  if (table.rows.length === 0 || told === null) return '';
  const copies = choice.scope === 'run' ? `${told.run_copies} ${told.run_copies === 1 ? 'copy' : 'copies'}, ` : '';
  return `${SCOPE_WORDS[choice.scope]}, ${copies}${table.copied} sounds${
    choice.scope === 'run' && !told.final ? ' so far' : ''}`;
}

export function TableChoices() {
  const choice = useConsole((state) => state.choice);
  const course = useConsole((state) => (state.room?.meetings.length ?? 0) > 1);
  const { dispatch } = useDesk();
  const set = (/** @type {Partial<TableChoice>} */ change) => dispatch({ type: 'chose', change });
  return html`<div class="table-choices">
    <${Choice} label="Which runs" value=${choice.scope} options=${[['run', 'This run'], ['evening', 'This evening'], ...(course ? [['course', 'Course']] : [])]}
      onChoose=${(/** @type {TableChoice['scope']} */ scope) => set({ scope })} />
    <${Choice} label="Figures" value=${choice.figures} options=${[['counts', 'Counts'], ['shares', 'Shares %']]}
      onChoose=${(/** @type {'counts' | 'shares'} */ figures) => set({ figures })} />
    <${Choice} label="Order" value=${choice.order} options=${[['alphabet', 'A to Z'], ['likeness', 'By likeness'], ['need', 'By need']]}
      onChoose=${(/** @type {TableChoice['order']} */ order) => set({ order })} />
    <label class="switch" data-size="small"><input type="checkbox" checked=${choice.inPlayOnly}
      onChange=${ticked((inPlayOnly) => set({ inPlayOnly }))} /> In play only</label>
  </div>`;
}

/** On a phone the table is moved with the finger, under heads that stay. */
const NARROW_PX = 560;
const ON_PHONE = Object.freeze({ width: 34, height: 32 });

/** The table with cells as large as its place allows; where they would be too small, the rows to look at.
 * @param {{ shown: Shown }} props */
function Fitted({ shown }) {
  const { table } = shown;
  const [box, room] = useBox();
  const narrow = room.width < NARROW_PX && table.rows.length <= 15;
  const size = narrow ? ON_PHONE : cellSize(room, table.rows.length, table.columns.length);
  return html`<div class="matrix-box" ref=${box} data-narrow=${narrow ? '' : undefined}>
    ${room.width > 0 && (size === null ? html`<${Attention} table=${table} known=${shown.known} scope=${shown.choice.scope} height=${room.height} />`
      : html`<div style=${{ '--cell-width': `${size.width}px`, '--cell-height': `${size.height}px` }}>
        <${Grid} shown=${shown} /></div>`)}
  </div>`;
}

/** The grid that answers to clicks. @param {{ shown: Shown }} props */
export function Grid({ shown: { table, choice, caption, known, marked } }) {
  const { dispatch, send } = useDesk();
  const show = (/** @type {string} */ sent, /** @type {string} */ written) => {
    dispatch({ type: 'dialog', dialog: 'cell' });
    send('show_cell', { sent, written, scope: choice.scope });
  };
  return html`<${Matrix} table=${table} figures=${choice.figures} caption=${`What the class wrote ${caption}`}
    known=${known} marked=${marked} onCell=${show} />`;
}

/** What the figures say, with how sure it is; while copies come in, the plain count and nothing more.
 * @param {{ shown: Shown }} props */
function Findings({ shown: { table, evidence, choice } }) {
  const scope = SCOPE_WORDS[choice.scope];
  if (evidence === null) return html`<${Count} table=${table} scope=${scope} />`;
  if (evidence.pairs.length === 0) {
    return html`<div class="findings"><p class="soft">${noneWords(evidence, scope)}</p></div>`;
  }
  return html`<div class="findings"><p><strong>Mixed up ${scope}:</strong></p>
    <div>${evidence.pairs.slice(0, 2).map((pair) => html`<${Pair} sent=${pair.sent} written=${pair.written}
      key=${pair.sent + pair.written}>
      ${plainly(pair.sent)} heard as ${plainly(pair.written)} <span class="soft">(${pairFigures(pair)})</span><//>`)}</div>
  </div>`;
}

/** What may be said where no pair stands out. @param {{ enough: boolean, unseen: string }} evidence @param {string} scope */
function noneWords({ enough, unseen }, scope) {
  if (enough) return `No two sounds were mixed up ${scope} beyond chance and habit, as far as that would have shown.`;
  const few = [...unseen];
  return few.length > 0 && few.length <= 3
    ? `No mix-up stands out ${scope}; of ${few.map(plainly).join(', ')} there are too few copies to say.`
    : `Too few copies ${scope} to say what is mixed up.`;
}

/** @param {{ table: Table, scope: string }} props */
function Count({ table, scope }) {
  const worst = worstCell(table);
  if (worst === null) return html`<div class="findings"></div>`;
  return html`<div class="findings">
    <${Pair} sent=${worst.sent} written=${worst.written}><strong>Most often ${scope} so far:</strong>
      ${' '}${cellWords(worst.sent, worst.written)} <span class="soft">(${worst.count} of ${worst.of})</span><//>
  </div>`;
}
