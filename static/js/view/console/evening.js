/** This evening: the runs so far, the one at hand, the plan under them, and what is known. */
import { html } from '../../../vendor/preact.js';
import { inTableOrder } from '../../core/alphabet.js';
import { phaseAt } from '../../core/moment.js';
import { useTicking } from '../parts/use_store.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { useMeetingDue } from './plan/teaching.js';
import { PlanPanel, TimeLeft } from './plan/plan_panel.js';
import { SignList, plainly } from './signs.js';

/** @import { RunSummary } from '../../wire.js' */
/** @import { RunDetail } from '../../core/moment.js' */

export function Evening() {
  const runs = useConsole((state) => state.room?.runs);
  const current = useConsole((state) => state.run);
  const { roomMs } = useDesk();
  const phase = useTicking(() => phaseAt(current, roomMs()), 250);
  const listed = withCurrent(runs ?? [], current);
  return html`<section class="evening" aria-labelledby="evening-title">
    <div class="panel-head">
      <h2 id="evening-title">This evening</h2>
      <${TimeLeft} runs=${listed.length} />
    </div>
    <${EarlierEvening} />
    <${PlanPanel} runs=${listed} phase=${phase} />
    <${Known} />
    <${CourseLinks} />
  </section>`;
}

/** A room is used again on another day: its seats and settings stay, its table begins anew. */
function EarlierEvening() {
  const due = useMeetingDue();
  const { send } = useDesk();
  if (due === 0) return null;
  return html`<div class="earlier">
    <p>These runs are of an earlier evening.</p>
    <button type="button" class="button" data-kind="primary" onClick=${() => send('open_meeting', {})}>Start meeting ${due}</button>
  </div>`;
}

/** The room's list is told at closing; a run that is open stands at its end.
 * @param {readonly RunSummary[]} runs @param {RunDetail | null} current @returns {RunSummary[]} */
function withCurrent(runs, current) {
  if (current === null || runs.some((run) => run.push === current.push)) return [...runs];
  const { push, title, purpose, symbols, counted, sent } = current;
  return [...runs, { push, title, purpose, symbols, counted, right: 0, of: 0, settled_anew: 0, sent, asides: [] }];
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

/** The ways to what is longer than an evening. */
function CourseLinks() {
  const open = useDialog();
  const link = (/** @type {string} */ dialog, /** @type {string} */ words) => html`<button type="button" class="button"
    data-size="small" onClick=${() => open(dialog)}>${words}</button>`;
  return html`<nav class="course-links" aria-label="The course">
    ${link('course', 'Course')}${link('review', 'Review')}${link('progress', 'Progress')}
  </nav>`;
}
