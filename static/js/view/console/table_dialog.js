/** The whole table over the whole page, scrolling under heads that stay. */
import { html } from '../../../vendor/preact.js';
import { Grid, TableChoices, useTable } from './class_table.js';
import { Dialog } from './dialog.js';
import { Legend } from './legend.js';

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
