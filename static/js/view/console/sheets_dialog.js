/** One learner's sheets of this evening: what was sent, and under it what was written. For the instructor alone. */
import { html } from '../../../vendor/preact.js';
import { asideWords, groupsOf, lateWords, scoreWords } from '../../core/reveal.js';
import { Sign } from '../parts/sign.js';
import { Dialog } from './dialog.js';
import { useConsole } from './desk.js';

/** @import { RevealOut } from '../../wire.js' */

export function SheetsDialog() {
  const sheet = useConsole((state) => state.sheet);
  const runs = useConsole((state) => state.room?.runs);
  if (sheet === null) return html`<${Dialog} title="Sheets"><p class="soft">Looking …</p><//>`;
  const titles = new Map((runs ?? []).map((run) => [run.push, run.title]));
  return html`<${Dialog} title=${`The sheets of ${sheet.name}`}>
    ${sheet.sheets.length === 0 && html`<p class="soft">No closed run with a copy yet.</p>`}
    ${[...sheet.sheets].reverse().map((one) => html`<section key=${one.push}>
      <h3>${one.push}. ${titles.get(one.push) ?? 'Run'} <span class="soft">${one.own_count === null
        ? scoreWords(one) : `${one.own_count[0]} of ${one.own_count[1]} right, own count of a sheet on paper`}</span></h3>
      ${one.aside_from !== null && html`<p>${asideWords(one)}</p>`}
      ${one.late !== '' && html`<p>${lateWords(one)}</p>`}
      ${one.own_count === null && html`<${Compared} sheet=${one} />`}
    </section>`)}
    <p class="help">Above: sent. Below: written; <span class="gap-mark hatched"></span> nothing written, <span class="sign">_</span> a blank;
      pale: not sounded there, or set aside; not counted.</p>
  <//>`;
}

/** @param {{ sheet: RevealOut }} props */
function Compared({ sheet }) {
  const columns = groupsOf(sheet).flat().filter(({ kind }) => kind !== 'extra');
  return html`<p class="compared">
    ${columns.map(({ kind, sent, written }, i) => html`<span class="compared-pair" key=${i} data-is=${kind}>
      <${Sign} sign=${sent} />
      <span class="below">${written === '' ? html`<span class="unseen">nothing</span>` : shown(written)}</span>
    </span>`)}
  </p>`;
}

/** @param {string} sign */
const shown = (sign) => (sign === '_' ? '_' : html`<${Sign} sign=${sign} />`);
