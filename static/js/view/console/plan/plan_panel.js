/** The evening as it went and as it is planned: what is done, what is now, what comes next by one button. */
import { html, useEffect, useRef, useState } from '../../../../vendor/preact.js';
import { isClosed } from '../../../core/moment.js';
import { isFree, minutesLeft, minutesOf, moved, movedTo, nextOf, stillToDo, timeline, without, sendsNothing } from '../../../core/plan.js';
import { useLater, useTicking } from '../../parts/use_store.js';
import { useConsole, useDesk, useDialog } from '../desk.js';
import { RunRow } from '../run_row.js';
import { useAdvice, useTeaching, useMeetingDue } from './teaching.js';
import { NoPlan, PlanForm } from './plan_form.js';
import { StepRow } from './step_row.js';

/** @import { RunSummary } from '../../../wire.js' */
/** @import { RunDetail } from '../../../core/moment.js' */
/** @import { Step } from '../../../core/plan.js' */

const UNDO_MS = 12_000;
const DOUBLE_CLICK_MS = 1500;
/** @type {Step[]} */
const NO_STEPS = [];

/** Minutes left of the planned, or how many runs there were. @param {{ runs: number }} props */
export function TimeLeft({ runs }) {
  const { roomMs } = useDesk();
  const plan = useTeaching((teaching) => teaching.plan);
  const left = useTicking(() => (plan === null ? 0 : Math.ceil(minutesLeft(plan, roomMs()))), 2000);
  if (plan === null || plan.steps.length === 0) return html`<span class="soft">${runs === 0 ? '' : runs === 1 ? '1 run' : `${runs} runs`}</span>`;
  return html`<span class="soft">${left} of ${Math.round(plan.minutes)} min left</span>`;
}

/** @param {{ runs: RunSummary[], phase: string }} props  the runs so far with the one at hand, and its phase */
export function PlanPanel({ runs, phase }) {
  const steps = useTeaching(({ plan }) => plan?.steps ?? NO_STEPS);
  const current = useConsole((state) => state.run);
  const [open, setOpen] = useState('');
  const [dragged, setDragged] = useState(/** @type {number[]} */ ([]));
  const { dropped, shown, act, drop, undo } = useDropping(steps);
  const next = nextOf(shown);
  const free = isFree(phase, current);
  const deeds = {
    send: (/** @type {Step} */ step) => act(sendsNothing(step) ? 'mark_step' : 'send_step', { step: step.step }),
    move: (/** @type {number[]} */ ids, /** @type {-1 | 1} */ by) => act('edit_plan', { steps: moved(shown, ids, by) }),
    moveTo: (/** @type {number[]} */ ids, /** @type {number[]} */ place) => act('edit_plan', { steps: movedTo(shown, ids, place) }),
    drop,
    open: (/** @type {string} */ key) => setOpen(open === key ? '' : key),
  };
  const lines = timeline(shown, runs);
  return html`<${Changes} />
    ${lines.length > 0 && html`<ol role="list" class="runs">
      ${lines.map((line, i) => (line.is === 'run'
        ? html`<${RunRow} key=${line.key} run=${line.run} isNow=${isNow(line.run.push, current, phase)} phase=${phase} />`
        : html`<${StepRow} key=${line.key} line=${line} number=${i + 1} isOpen=${open === line.key} deeds=${deeds} dragged=${dragged} onDrag=${setDragged}
            state=${stateOf(line.steps, next, current, phase)} sounding=${phase === 'sounding'} isFree=${free}
            action=${next !== undefined && free && line.steps.includes(next)
              && html`<${NextButton} step=${next} onSend=${() => deeds.send(next)} />`} />`))}
    </ol>`}
    ${dropped !== null && html`<p class="dropped" role="status">Dropped: ${dropped.title}
      <button type="button" class="button" data-kind="bare" data-size="small" onClick=${undo}>Undo</button></p>`}
    ${next === undefined ? html`<${Afterwards} steps=${shown} />` : html`<${PlanTools} />`}`;
}

/**
 * A dropped step can be taken back for a while: it leaves the view at once, and the plan when that time is over or
 * something else is done to the plan.
 * @param {Step[]} steps
 */
function useDropping(steps) {
  const { send } = useDesk();
  const [dropped, setDropped] = useState(/** @type {{ ids: number[], title: string } | null} */ (null));
  const latest = useRef({ dropped, steps });
  latest.current = { dropped, steps };
  const ids = dropped?.ids ?? [];
  const settle = () => {
    const { dropped: gone, steps: told } = latest.current;
    if (gone !== null) send('edit_plan', { steps: without(told, gone.ids) });
    latest.current.dropped = null;
    setDropped(null);
  };
  useLater(settle, dropped === null ? null : UNDO_MS, [dropped]);
  return {
    dropped,
    shown: ids.length === 0 ? steps : steps.filter(({ step, push }) => push !== 0 || !ids.includes(step)),
    undo: () => setDropped(null),
    /** @type {typeof send} */
    act: (name, payload) => {
      settle();
      return send(name, payload);
    },
    drop: (/** @type {number[]} */ gone, /** @type {string} */ title) => {
      settle();
      setDropped({ ids: gone, title });
    },
  };
}

/** @param {number} push @param {{ push: number } | null} current @param {string} phase */
const isNow = (push, current, phase) => push === current?.push && !isClosed(phase);

/** @param {readonly Step[]} steps @param {Step | undefined} next @param {RunDetail | null} current @param {string} phase */
function stateOf(steps, next, current, phase) {
  if (!isFree(phase, current) && steps.some(({ push }) => push > 0 && push === current?.push)) return 'now';
  if (next !== undefined && steps.includes(next)) return 'next';
  return stillToDo(steps).length === 0 ? 'done' : 'later';
}

/** The one thing to do; quieter while there is advice. @param {{ step: Step, onSend: () => void }} props */
function NextButton({ step, onSend }) {
  const connected = useConsole((state) => state.connection === 'connected');
  const isAdvised = useAdvice() !== null;
  const hasDraft = useConsole((state) => state.composing);
  const [sent, setSent] = useState(0);
  useLater(() => setSent(0), sent === 0 ? null : DOUBLE_CLICK_MS, [sent]);
  const words = sendsNothing(step) ? 'Done' : 'Send it';
  const once = () => {
    setSent(step.step);
    onSend();
  };
  return html`<button type="button" class="button step-action" data-kind=${isAdvised || hasDraft ? undefined : 'primary'}
    data-action="primary" data-sends=${sendsNothing(step) ? undefined : ''} disabled=${!connected || sent === step.step} onClick=${once} aria-label=${`${words}: ${step.title}`}>${words}</button>`;
}

/** What the last copies changed in the plan; it goes with the next run. */
function Changes() {
  const changes = useTeaching(({ plan }) => plan?.changes.join(' ') ?? '');
  const push = useConsole((state) => state.run?.push ?? 0);
  const [read, setRead] = useState({ changes: '', push: 0 });
  useEffect(() => {
    if (changes !== read.changes) setRead({ changes, push });
  }, [changes]);
  const isOld = changes === read.changes && push !== read.push;
  if (changes === '' || isOld) return null;
  return html`<div class="plan-note" role="status">
    <p>${changes}</p>
    <button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => setRead({ changes, push: -1 })}>All right</button>
  </div>`;
}

/** Plan again, or a step of one's own. */
function PlanTools() {
  const { dispatch, roomMs } = useDesk();
  const plan = useTeaching((teaching) => teaching.plan);
  const [again, setAgain] = useState(false);
  if (plan === null) return null;
  const left = minutesLeft(plan, roomMs());
  const over = minutesOf(stillToDo(plan.steps)) - left;
  return html`<div class="plan-tools">
    ${over >= 1 && html`<p class="soft">The steps take ${Math.round(over)} min more than is left.</p>`}
    ${again ? html`<${PlanForm} minutes=${left} words="Plan again" onDone=${() => setAgain(false)} />`
      : html`<button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => setAgain(true)}>Plan again</button>
        <button type="button" class="button" data-kind="bare" data-size="small"
          onClick=${() => dispatch({ type: 'composing', on: true })}>Add a step</button>`}
  </div>`;
}

/** Nothing is planned, or all of it is done. @param {{ steps: readonly Step[] }} props */
function Afterwards({ steps }) {
  const open = useDialog();
  const due = useMeetingDue();
  if (due > 0) return null; // the new meeting comes first
  if (!steps.some(({ purpose }) => purpose === 'close')) return html`<${NoPlan} />`;
  return html`<div class="no-plan">
    <p>The evening is over.</p>
    <button type="button" class="button" data-kind="primary" onClick=${() => open('review')}>Until next time</button>
    <details><summary>There is still time</summary><${PlanForm} minutes=${15} words="Plan more" /></details>
  </div>`;
}
