/** The table on paper: black and white, with its title, date and legend, and without names. */
import { html } from '../../../vendor/preact.js';
import { Matrix } from '../matrix.js';
import { DeskContext, useConsole } from './desk.js';
import { useTable } from './class_table.js';
import { ProgressPaper } from './plan/progress_dialog.js';
import { ReviewPaper } from './plan/review_dialog.js';

/** @param {{ desk: import('./desk.js').Desk }} props */
export function PrintSheet({ desk }) {
  return html`<${DeskContext.Provider} value=${desk}><${Paper} /><//>`;
}

/** What is open is what is printed. */
function Paper() {
  const dialog = useConsole((state) => state.dialog);
  if (dialog === 'review') return html`<${ReviewPaper} />`;
  return dialog === 'progress' ? html`<${ProgressPaper} />` : html`<${Sheet} />`;
}

function Sheet() {
  const { table, choice, caption, known, marked } = useTable();
  const title = useConsole((state) => state.room?.title ?? '');
  const run = useConsole((state) => state.run?.title ?? '');
  const date = new Date().toLocaleDateString(undefined, { dateStyle: 'long' });
  return html`<section class="print-sheet">
    <h1>${title}: what the class wrote</h1>
    <p>${date}. ${choice.scope === 'run' ? `${run}, ` : ''}${caption}. ${choice.inPlayOnly ? 'Only the sounds in play. ' : ''}${choice.figures === 'shares' ? 'Shares in percent of the row.' : 'Counts.'}</p>
    <${Matrix} table=${table} figures=${choice.figures} caption="What the class wrote" known=${known} marked=${marked} />
    <p class="legend">Rows: what was sent. Columns: what was written; underlined: another sound; in a frame: more often than chance.
      Blank: left empty on purpose. Missed: nothing written. Extra: marks where nothing was sent. Last column: percent heard right, or the count where they are few.</p>
  </section>`;
}
