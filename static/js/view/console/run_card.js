/** The run at hand: where it stands, the sounds passing, and the one thing to do next. */
import { html, useState } from '../../../vendor/preact.js';
import { isShown } from '../../core/purposes.js';
import { begunAt, clockFace, isClosed, lastEndRoomMs, phaseAt, tidyEndRoomMs } from '../../core/moment.js';
import { SECOND_CLICK_MS, actionsIn } from '../../core/run_orders.js';
import { ALL_IN, awayWords, sheetsWords } from '../../core/seat_news.js';
import { useLater, useTicking } from '../parts/use_store.js';
import { Asides, SetAsideButton } from './aside.js';
import { useConsole, useDesk } from './desk.js';
import { useAdvice, useNextStep } from './plan/teaching.js';
import { Ribbon } from './ribbon.js';
import { SoundButton } from './sound_facts.js';

/** @import { RunDetail } from '../../core/moment.js' */
/** @import { Phase } from '../../core/moment.js' */

/** @param {{ run: RunDetail }} props */
export function RunCard({ run }) {
  const { roomMs } = useDesk();
  const phase = useTicking(() => phaseAt(run, roomMs()));
  return html`<section class="sheet now run-card" data-phase=${phase} aria-labelledby="run-title">
    <div class="run-head">
      <div>
        <h2 id="run-title">${run.title}</h2>
        <${PhaseLine} run=${run} phase=${phase} />
      </div>
      <${Actions} run=${run} phase=${phase} />
    </div>
    <${Ribbon} run=${run} phase=${phase} />
    <${Facts} run=${run} phase=${phase} />
  </section>`;
}

/** @param {{ run: RunDetail, phase: Phase }} props */
export function PhaseLine({ run, phase }) {
  const { roomMs } = useDesk();
  const left = useTicking(() => leftOf(run, phase, roomMs()), 200);
  const [sheets, away] = useSheets(run);
  const words = {
    '': '',
    'counting in': `Starts in ${left}`,
    sounding: 'Sounding now',
    paused: 'Paused. The cut-off sound comes again.',
    stopped: 'Stopped. It can still go on.',
    tidying: sheets === ALL_IN ? `Sound over, ${ALL_IN}` : `Sound over, tidying up: ${left} left`,
    waiting: run.counted && run.kind === 'copying' ? `Sound over, ${sheets}${away}` : 'Sound over',
    closed: `Closed, not shown yet${away}`,
    revealed: 'Closed, and shown to the learners',
  };
  return html`<p class="phase">
    <span class="dot" data-is=${phase === 'sounding' ? 'now' : isClosed(phase) ? 'done' : ''}></span>
    <span>${words[phase]}</span>
    <span class="unseen" role="status">${phase}</span>
  </p>`;
}

/** Who has not handed in yet, and who is away. @param {RunDetail} run */
function useSheets(run) {
  const seats = useConsole((state) => state.seats);
  const progress = useConsole((state) => state.progress);
  const copies = progress?.push === run.push ? progress.copies : [];
  return [sheetsWords(seats, copies), run.counted && run.kind === 'copying' ? awayWords(seats, copies) : ''];
}

/** @param {RunDetail} run @param {Phase} phase @param {number} roomMs */
function leftOf(run, phase, roomMs) {
  if (Number.isNaN(roomMs)) return '–';
  if (phase === 'counting in') return clockFace(run.start_room_ms - roomMs);
  if (phase === 'tidying') return clockFace(tidyEndRoomMs(run) - roomMs);
  return clockFace(lastEndRoomMs(run) - (phase === 'paused' ? (run.halted_room_ms ?? roomMs) : roomMs));
}

/** @param {{ run: RunDetail, phase: Phase }} props */
export function Actions({ run, phase }) {
  const isPlanned = [useNextStep(), useAdvice()].some(Boolean);
  const isTaken = run.counted || run.purpose === 'together'; // there is something to close and to show
  return html`<div class="actions">
    ${actionsIn(phase, isTaken, isPlanned).map((action) => html`<${Slot} key=${action.slot} ...${action} />`)}
  </div>`;
}

/** @param {import('../../core/run_orders.js').Action} action */
function Slot({ slot, words, does, primary, isLoud, kbd, isAway }) {
  const { dispatch, send } = useDesk();
  const connected = useConsole((state) => state.connection === 'connected');
  const steady = useSteady(words);
  const act = () => (does === 'next' ? dispatch({ type: 'composing', on: true }) : void send(does, {}));
  return html`<button type="button" class="button" data-slot=${slot} data-away=${isAway ? '' : undefined}
    data-kind=${primary || isLoud ? 'primary' : undefined} data-action=${primary && !isAway ? 'primary' : undefined}
    disabled=${!connected || isAway} aria-disabled=${steady ? undefined : 'true'} onClick=${() => steady && act()}>
    ${words}${kbd && html` <kbd class="kbd" aria-hidden="true">${kbd}</kbd>`}
  </button>`;
}

/** Whether these words have stood on a button for about a second: one that has just changed was not what the finger was after.
 * @param {string} words */
function useSteady(words) {
  const [settled, setSettled] = useState(words);
  useLater(() => setSettled(words), SECOND_CLICK_MS, [words]);
  return settled === words;
}

/** @param {{ run: RunDetail, phase: Phase }} props */
function Facts({ run, phase }) {
  const { roomMs } = useDesk();
  const left = useTicking(() => (phase === 'counting in' ? clockFace(lastEndRoomMs(run) - run.start_room_ms) : leftOf(run, phase, roomMs())), 200);
  const begun = useTicking(() => begunAt(run, roomMs()), 200);
  const runs = phase === 'counting in' || phase === 'sounding' || phase === 'paused';
  const isFinal = isClosed(phase);
  const stopped = run.sent < run.edges.length;
  return html`<div class="facts-line"><dl class="facts">
    <div><dt>sounds at</dt><dd>${run.wpm} wpm</dd></div>
    <div><dt>overall</dt><dd>${run.overall_wpm} wpm</dd></div>
    <div><dt>pitch</dt><dd>${run.pitch_hz} Hz</dd></div>
    ${runs ? html`<div><dt>sent</dt><dd>${begun} of ${run.sent}</dd></div><div><dt>left</dt><dd>${left}</dd></div>`
      : html`<div><dt>${stopped ? 'stopped after' : 'length'}</dt><dd>${run.sent} ${run.sent === 1 ? 'sound' : 'sounds'}</dd></div>`}
    ${!run.counted && html`<div><dt>table</dt><dd>not counted</dd></div>`}
    ${isShown(run.purpose) && run.purpose !== 'listen' && html`<div><dt>name</dt><dd>${run.shown === '' ? 'hidden' : 'shown'}</dd></div>`}
  </dl>${isFinal && run.purpose !== 'listen' && html`<${SetAsideButton} push=${run.push} title=${run.title} />`}<${SoundButton} /></div>
  ${isFinal && html`<${Asides} push=${run.push} />`}`;
}
