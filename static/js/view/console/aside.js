/** A run that went wrong: set aside from a part of it on, with a reason, and counted again by one click. */
import { html, useState } from '../../../vendor/preact.js';
import { Choice } from '../parts/choice.js';
import { numbered, submitted, typed } from '../parts/fields.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { Dialog } from './dialog.js';

/** @import { AsideOut, RunSummary } from '../../wire.js' */

const REASONS = ['Loudspeaker off', 'Wrong speed', 'Interrupted', 'Noise in the room'];
const EVERYBODY = 0;

/** What does not count, in words. @param {AsideOut} aside */
const wordsOf = ({ name, first, reason }) =>
  `${first === 0 ? 'Set aside' : `Set aside from sound ${first + 1} on`}${name === '' ? '' : ` for ${name}`}: ${reason}`;

/** What is set aside of a run, each with its way back. @param {{ push: number }} props */
export function Asides({ push }) {
  const { send } = useDesk();
  const asides = useConsole((state) => state.room?.runs.find((run) => run.push === push)?.asides ?? NONE);
  if (asides.length === 0) return null;
  return html`<ul role="list" class="asides">
    ${asides.map((aside) => html`<li key=${aside.aside}>${wordsOf(aside)}
      <button type="button" class="button" data-kind="bare" data-size="small" aria-label=${`Count again: ${wordsOf(aside)}`}
        onClick=${() => send('bring_back', { aside: aside.aside })}>Count again</button></li>`)}
  </ul>`;
}

/** @type {AsideOut[]} */
const NONE = [];

/** @param {{ push: number, title: string, brief?: boolean }} props */
export function SetAsideButton({ push, title, brief = false }) {
  const open = useDialog();
  return html`<button type="button" class="button" data-kind="bare" data-size="small" title="Something went wrong: it is not to count"
    aria-label=${`Set aside run ${push}, ${title}`} onClick=${() => open('aside', push)}>${brief ? '…' : 'Set aside …'}</button>`;
}

export function AsideDialog() {
  const push = useConsole((state) => state.dialogAbout);
  const run = useConsole((state) => state.room?.runs.find((one) => one.push === push));
  if (run === undefined) return html`<${Dialog} title="Set aside"><p class="soft">A run can be set aside once it is closed.</p><//>`;
  return html`<${Dialog} title=${`Set aside: ${run.title}`}>
    <p>It is then in no table, record, plan or review. It stays on the sheets, with the reason.</p>
    <${Asides} push=${push} />
    <${AsideForm} run=${run} />
  <//>`;
}

/** @param {{ run: RunSummary }} props */
function AsideForm({ run }) {
  const { send } = useDesk();
  const open = useDialog();
  const seats = useConsole((state) => state.seats);
  const [seat, setSeat] = useState(EVERYBODY);
  const [from, setFrom] = useState('1');
  const [reason, setReason] = useState(REASONS[0]);
  const first = Number(from) - 1;
  const fits = Number.isInteger(first) && first >= 0 && first < run.sent && reason.trim() !== '';
  const keep = submitted(() => fits && send('set_aside', { push: run.push, seat, first, reason }) && open(''));
  return html`<form class="aside-form" onSubmit=${keep}>
    <label class="field"><span class="label">For whom</span>
      <select class="input" value=${seat} onChange=${numbered(setSeat)}>
        <option value=${EVERYBODY}>Everybody</option>
        ${seats.map((one) => html`<option key=${one.seat} value=${one.seat}>${one.name}</option>`)}
      </select></label>
    <label class="field"><span class="label">From sound (1 is the whole run, of ${run.sent})</span>
      <input class="input" type="number" min="1" max=${run.sent} value=${from}
        onInput=${typed(setFrom)} /></label>
    <${Choice} label="Why" shown value=${REASONS.includes(reason) ? reason : ''} options=${REASONS.map((words) => [words, words])} onChoose=${setReason} />
    <label class="field"><span class="label">In your own words</span>
      <input class="input" type="text" maxlength="60" value=${reason} onInput=${typed(setReason)} /></label>
    <button type="submit" class="button" data-kind="primary" disabled=${!fits}>Set it aside</button>
  </form>`;
}
