/** This evening: the runs so far, and the one at hand. A later plan finds its place under them. */
import { html } from '../../../vendor/preact.js';
import { inTableOrder } from '../../core/alphabet.js';
import { localDay } from '../../core/days.js';
import { PURPOSES } from '../../core/console_state.js';
import { phaseAt } from '../../core/run_now.js';
import { useTicking } from '../parts/use_store.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { SignList, plainly } from './signs.js';

/** @typedef {import('../../wire.js').RunSummary} RunSummary */

export function Evening() {
  const runs = useConsole((state) => state.room?.runs);
  const current = useConsole((state) => state.run);
  const { roomMs } = useDesk();
  const phase = useTicking(() => phaseAt(current, roomMs()), 250);
  const isOver = phase === 'closed' || phase === 'revealed';
  const listed = withCurrent(runs ?? [], current);
  return html`<section class="evening" aria-labelledby="evening-title">
    <div class="panel-head">
      <h2 id="evening-title">This evening</h2>
      <span class="soft">${listed.length === 1 ? '1 run' : listed.length > 1 ? `${listed.length} runs` : ''}</span>
    </div>
    <${EarlierEvening} />
    ${listed.length === 0 && html`<p class="soft empty">Nothing sent yet. The runs of the evening line up here.</p>`}
    <ol role="list" class="runs">
      ${listed.map((run) => html`<${Run} key=${run.push} run=${run} isNow=${run.push === current?.push && !isOver}
        phase=${phase} />`)}
    </ol>
    <${Known} />
  </section>`;
}

/** A room is used again on another day: its seats and settings stay, its table begins anew. */
function EarlierEvening() {
  const meeting = useConsole((state) => state.room?.meetings.at(-1));
  const { send } = useDesk();
  if (meeting === undefined || meeting.runs === 0 || meeting.day === localDay(new Date())) return null;
  return html`<div class="earlier">
    <p>These runs are of an earlier evening.</p>
    <button type="button" class="button" data-size="small" onClick=${() => send('open_meeting')}>Begin this evening</button>
  </div>`;
}

/** The room's list is told at closing; a run that is open stands at its end.
 * @param {readonly RunSummary[]} runs @param {import('../../wire.js').RunDetail | null} current @returns {RunSummary[]} */
function withCurrent(runs, current) {
  if (current === null || runs.some((run) => run.push === current.push)) return [...runs];
  const { push, title, purpose, symbols, counted } = current;
  return [...runs, { push, title, purpose, symbols, counted, right: 0, of: 0, settled_anew: 0 }];
}

/** @param {{ run: RunSummary, isNow: boolean, phase: string }} props */
function Run({ run, isNow, phase }) {
  const { dispatch } = useDesk();
  const again = () => {
    dispatch({ type: 'drafted', change: { purpose: run.purpose, symbols: run.symbols, seed: run.push } });
    dispatch({ type: 'composing', on: true });
  };
  return html`<li class="run" data-now=${isNow ? '' : undefined} aria-current=${isNow ? 'step' : undefined}>
    <span class="mark" aria-hidden="true">${isNow
      ? html`<span class="dot" data-is=${phase === 'sounding' ? 'now' : ''}></span>` : '✓'}</span>
    <span class="what">
      <span class="name">${run.title}</span>
      <span class="soft">${describe(run)}</span>
    </span>
    <span class="share">${run.of > 0 && html`<span title=${`${run.right} of ${run.of} right`}>
      ${Math.round((100 * run.right) / run.of)} %</span>`}</span>
    ${!isNow && html`<button type="button" class="button" data-kind="bare" data-size="small" onClick=${again}
      title="Compose one like it" aria-label=${`Compose one like run ${run.push}, ${run.title}`}>↻</button>`}
  </li>`;
}

/** @param {RunSummary} run */
function describe({ purpose, symbols, counted }) {
  if (purpose === 'listen') return 'not counted';
  const many = symbols.length > 10;
  const what = many ? `${symbols.length} sounds` : html`<${SignList} signs=${symbols} />`;
  return html`${purpose === 'apart' || purpose === 'mix' || purpose === 'meet' ? '' : `${PURPOSES[purpose].name.toLowerCase()}, `}${what}${
    counted ? '' : ', not counted'}`;
}

function Known() {
  const symbols = useConsole((state) => state.room?.symbols ?? '');
  const open = useDialog();
  const sorted = inTableOrder(symbols);
  return html`<div class="known">
    <div class="panel-head">
      <h2>Known so far</h2>
      <button type="button" class="button" data-kind="bare" data-size="small" aria-label="Change the known sounds"
        onClick=${() => open('known')}>Change</button>
    </div>
    ${sorted.length === 0
      ? html`<p class="soft empty">No sound yet. What you introduce joins the known ones.</p>`
      : html`<p class="known-signs" aria-label=${sorted.map(plainly).join(', ')}><${SignList} signs=${sorted.join('')} /></p>`}
  </div>`;
}
