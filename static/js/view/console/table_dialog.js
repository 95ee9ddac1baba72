/** The whole table over the whole page, scrolling under heads that stay. */
import { html } from '../../../vendor/preact.js';
import { Grid, TableChoices, useTable } from './class_table.js';
import { Dialog } from './dialog.js';

export function TableDialog() {
  const shown = useTable();
  const { table, caption } = shown;
  return html`<${Dialog} title=${`What the class wrote ${caption}`}>
    <div class="table-bar">
      <${TableChoices} />
      <button type="button" class="button" data-size="small" onClick=${() => window.print()}>Print</button>
    </div>
    ${table.rows.length === 0 ? html`<p class="soft">Nothing written yet.</p>`
      : html`<div class="matrix-scroll" tabindex="-1"><${Grid} shown=${shown} /></div>`}
    <${Legend} />
  <//>`;
}

/** How to read the table. */
function Legend() {
  return html`<p class="legend">
    <span>Rows: what was sent.</span> <span>Columns: what was written.</span>
    <span><span class="swatch" data-kind="right" data-level="3"></span> heard right</span>
    <span><span class="swatch" data-kind="wrong" data-level="4"></span> written as another sound, the darker the more</span>
    <span><span class="swatch hatched" data-kind="gap"></span> blank: left empty on purpose; missed: nothing written</span>
    <span>outlined: more often than chance.</span>
    <span>extra: marks where nothing was sent.</span>
  </p>`;
}
