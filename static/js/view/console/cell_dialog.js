/** The sendings behind one cell: in which run, at which place, among which sounds, by whom. */
import { html, useEffect } from '../../../vendor/preact.js';
import { SCOPE_WORDS } from '../../core/findings.js';
import { cellWords } from '../matrix.js';
import { Dialog } from './dialog.js';
import { useConsole, useDesk } from './desk.js';
import { HearBoth } from './hear_both.js';
import { Sign } from '../parts/sign.js';

/** @import { Sending } from '../../wire.js' */

export function CellDialog() {
  const cell = useConsole((state) => state.cell);
  const final = useConsole((state) => state.table?.final ?? true);
  const { send } = useDesk();
  useEffect(() => {
    // Asked about while the closed run's copies were still being read: ask again once they are.
    if (cell !== null && final) send('show_cell', { sent: cell.sent, written: cell.written, scope: cell.scope });
  }, [final, cell === null]);
  if (cell === null) return html`<${Dialog} title="Behind this figure"><p class="soft">Looking …</p><//>`;
  const { sent, written, sendings, all } = cell;
  const mixed = sent !== '' && written !== '' && written !== '_' && sent !== written;
  const learners = new Set(sendings.map(({ seat }) => seat)).size;
  return html`<${Dialog} title=${cellWords(sent, written)}>
    <p>${all} ${all === 1 ? 'time' : 'times'}, by ${learners} ${learners === 1 ? 'learner' : 'learners'} ${
      SCOPE_WORDS[cell.scope]}${sendings.length < all ? `; the first ${sendings.length}` : ''}.</p>
    ${mixed && html`<div><${HearBoth} sent=${sent} written=${written} size="normal" /></div>`}
    <table class="sendings">
      <thead><tr><th scope="col">run</th><th scope="col">place</th><th scope="col">among</th><th scope="col">learner</th></tr></thead>
      <tbody>${sendings.map((sending, i) => html`<${SendingRow} key=${i} sending=${sending} sent=${sent} />`)}</tbody>
    </table>
    <p class="help">For your eyes: neither the learners nor the wall see names beside errors.</p>
  <//>`;
}

/** @param {{ sending: Sending, sent: string }} props */
function SendingRow({ sending: { push, place, around, name } }) {
  const middle = place === null ? -1 : Math.min(place, 2);
  return html`<tr>
    <td>${push}</td>
    <td>${place === null ? '–' : place + 1}</td>
    <td class="around">${[...around].map((sign, k) => (k === middle ? html`<strong><${Sign} sign=${sign} /></strong>` : html`<${Sign} sign=${sign} />`))}</td>
    <td>${name}</td>
  </tr>`;
}
