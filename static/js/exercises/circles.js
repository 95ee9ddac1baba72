/** Circles: two or three texts at once. What a learner, the console and the wall see of them, and how they are set up. */
import { html, useEffect, useMemo } from '../../vendor/preact.js';
import { inTableOrder } from '../core/alphabet.js';
import { EXTRA, losses, signsIn, tableOf, worstCell } from '../core/matrix.js';
import { clockFace } from '../core/moment.js';
import { inOrder } from '../core/orders.js';
import { useConsole } from '../view/console/desk.js';
import { Pair } from '../view/console/hear_both.js';
import { Palette, toggled } from '../view/console/palette.js';
import { plainly, SentText, SignList } from '../view/console/signs.js';
import { Ribbon } from '../view/console/ribbon.js';
import { Matrix } from '../view/matrix.js';
import { EXERCISES } from '../wire.js';
import { Exercise, ExerciseSetUp, ExerciseTitle } from '../view/parts/exercise.js';
import { numbered, typed } from '../view/parts/fields.js';
import { useTicking } from '../view/parts/use_store.js';

/** @import { CircleChosen, CircleForConsole, CirclesForConsole, CirclesForLearner, CirclesForWall, ProgressOut, SeatOut, TableOut } from '../wire.js' */
/** @import { RunDetail } from '../core/moment.js' */
/** @import { Given, Setup } from '../view/parts/exercise.js' */
/** @typedef {Pick<CircleChosen, 'name' | 'sign' | 'purpose' | 'symbols' | 'wpm' | 'overall_wpm' | 'kind'> & { setup?: Setup }} Chosen */

const MARKS = Object.freeze({
  window: 'M4 4h16v16H4zM12 4v16M4 12h16',
  door: 'M7 3h10v18H7zM14 12h.01',
  stage: 'M3 8h18v9H3zM6 17v3M18 17v3',
});

/** The circle's mark; its name always stands beside it. @param {{ of: string }} props */
const Mark = ({ of }) => html`<svg class="circle-mark" viewBox="0 0 24 24" aria-hidden="true"><path d=${MARKS[/** @type {keyof typeof MARKS} */ (of)] ?? ''} /></svg>`;

/** @param {Given & { shown: CirclesForLearner }} props */
export function Learner({ shown, sheet, roomMs }) {
  const left = useTicking(() => Math.max(0, Math.ceil((shown.begins_room_ms - roomMs()) / 1000)), 200);
  return html`<div class="circle-own">
      <p class="circle-name"><${Mark} of=${shown.sign} /> ${shown.circle === 0 ? 'You join a circle at the next start' : `Your circle: ${shown.name}`}</p>
      ${shown.next_name !== '' && html`<p class="soft">${shown.next_name}, from the next start on</p>`}
    </div>
    ${sheet || html`<main class="circle-wait"><h1>${shown.circle === 0 ? 'The circles are copying' : 'Get ready'}</h1>
      <p>${shown.circle === 0 ? 'Your page stays silent until the next start.' : left > 0 ? `Your circle begins in ${left} s.` : 'Write what you hear.'}</p></main>`}`;
}

/** @param {Given & { shown: CirclesForConsole }} props */
export function Console({ shown, parts = {}, seats = [], send, detail, roomMs }) {
  const last = shown.circles.length;
  return html`<p class="soft">Each circle hears its own; they began together and end together${detail ? `, after ${clockFace(detail.lasts_ms)}` : ''}.</p>
    <div class="circles" data-count=${last}>
      ${shown.circles.map((circle, i) => html`<${Circle} key=${circle.push} circle=${circle} number=${i + 1} names=${shown.circles.map(({ name }) => name)}
        inner=${within(parts, circle.push)} run=${parts[circle.push]?.run ?? null} table=${parts[circle.push]?.table ?? null} progress=${parts[circle.push]?.progress ?? null} seats=${seats} send=${send} roomMs=${roomMs} />`)}
    </div>`;
}

/** What goes on within one circle's exercise. @param {NonNullable<Given['parts']>} parts @param {number} push */
const within = (parts, push) => Object.fromEntries(Object.entries(parts).filter(([, part]) => part?.run?.within === push));

/** A turn is skipped in the circle that it is in. @param {import('../core/messages.js').Send | undefined} send @param {number} push @returns {import('../core/messages.js').Send | undefined} */
const sendIn = (send, push) => send && ((name, payload) => send(name, name === 'skip_turn' ? { ...payload, within: push } : payload));

/** @param {{ circle: CircleForConsole, number: number, names: string[], inner: NonNullable<Given['parts']>, run: RunDetail | null, table: TableOut | null, progress: ProgressOut | null,
 *   seats: readonly SeatOut[], send?: import('../core/messages.js').Send, roomMs: () => number }} props */
function Circle({ circle, number, names, inner, run, table: told, progress, seats, send, roomMs }) {
  const own = seats.filter(({ seat }) => circle.seats.includes(seat));
  const table = useMemo(() => tableOf(told?.cells ?? [], inOrder(signsIn(told?.cells ?? []), 'alphabet', '')), [told]);
  const worst = worstCell(table);
  return html`<section class="circle" aria-label=${circle.name}>
    <h3><${Mark} of=${circle.sign} /> ${circle.name} <span class="soft">${circle.seats.length} ${circle.seats.length === 1 ? 'learner' : 'learners'}</span></h3>
    ${circle.inner !== null && run !== null && html`<p class="circle-turn"><${ExerciseTitle} exercise=${circle.inner} called=${EXERCISES[circle.inner.kind]?.title ?? ''} roomMs=${roomMs} seats=${own} /></p>
      <${Exercise} exercise=${circle.inner} page="Console" send=${sendIn(send, circle.push)} roomMs=${roomMs} detail=${run} parts=${inner} seats=${own} />`}
    ${circle.inner === null && run !== null && html`<${Ribbon} run=${run} phase=${run.phase} told=${progress} />
      <p class="soft">sounds at ${run.wpm} wpm, overall ${Math.round(run.overall_wpm * 10) / 10} wpm</p>`}
    ${table.rows.length === 0 ? circle.inner === null && html`<p class="soft">Nothing written yet.</p>`
      : html`<div class="circle-table"><${Matrix} table=${table} figures="counts" caption=${`What ${circle.name} wrote`} recall=${false} /></div>`}
    ${worst !== null && told?.final && html`<${Pair} sent=${worst.sent} written=${worst.written}><span>Most often here: <strong>${plainly(worst.sent)}</strong> written as <strong>${plainly(worst.written)}</strong>, ${worst.count} of ${worst.of}.</span><//>`}
    <${Members} circle=${circle} number=${number} names=${names} seats=${seats} send=${send} />
  </section>`;
}

/** Who sits there, and the way to the next circle: a choice, which holds from the next start.
 * @param {{ circle: CircleForConsole, number: number, names: string[], seats: readonly SeatOut[], send?: import('../core/messages.js').Send }} props */
function Members({ circle, number, names, seats, send }) {
  const named = new Map(seats.map((seat) => [seat.seat, seat.name]));
  const here = circle.next.filter((seat) => named.has(seat));
  return html`<ul role="list" class="circle-seats">
    ${here.map((seat) => html`<li key=${seat}>
      <span>${named.get(seat)}${!circle.seats.includes(seat) && html` <span class="soft">from the next start</span>`}</span>
      <select class="input" aria-label=${`Circle of ${named.get(seat)} from the next start on`} value=${number}
        onChange=${numbered((to) => send?.('move_to_circle', { seat, circle: to }))}>
        ${names.map((name, i) => html`<option key=${name} value=${i + 1}>${name}</option>`)}
      </select>
    </li>`)}
  </ul>`;
}

/** @param {Given & { shown: CirclesForWall }} props */
export function Wall({ shown, roomMs }) {
  const left = useTicking(() => clockFace((roomMs() < shown.begins_room_ms ? shown.begins_room_ms : shown.ends_room_ms) - roomMs()), 200);
  const starts = useTicking(() => roomMs() < shown.begins_room_ms, 200);
  const isShown = shown.phase === 'revealed';
  const words = isShown ? 'What the circles wrote' : starts ? `The circles begin in ${left}`
    : shown.phase === 'paused' ? 'A short pause' : shown.phase === 'closed' ? 'Pencils down' : `Write what your circle hears, ${left} left`;
  return html`<main class="wall" data-phase=${shown.phase}>
    <header><h1>${words}</h1></header>
    <div class="circles-wall">
      ${shown.circles.map((circle) => html`<section key=${circle.name} aria-label=${circle.name}>
        <h2><${Mark} of=${circle.sign} /> ${circle.name}</h2>
        ${circle.text === '' ? html`<p class="wall-quiet">${circle.does === '' ? `${circle.learners} copying` : `${circle.does}: ${circle.learners} ${circle.learners === 1 ? 'learner' : 'learners'}`}</p>` : html`<${Shown} circle=${circle} />`}
      </section>`)}
    </div>
    <footer><p class="soft">All begin and end together.</p></footer>
  </main>`;
}

/** @param {{ circle: CirclesForWall['circles'][number] }} props */
function Shown({ circle }) {
  const table = tableOf(circle.cells, inOrder([...signsIn(circle.cells), ...circle.symbols], 'alphabet', ''));
  const lost = table.rows.filter((row) => row.sent !== EXTRA && losses(row).some(({ kind }) => kind === 'wrong')).map(({ sent }) => plainly(sent));
  return html`<${Matrix} table=${table} figures="counts" caption=${`What ${circle.name} wrote`} recall=${false} />
    <p>${lost.length === 0 ? 'Nothing was mixed up.' : `Listen again for ${lost.slice(0, 3).join(', ')}.`}</p>
    <p class="circle-text"><${SentText} text=${circle.text} /></p>`;
}

/** A line a circle. @param {{ setup: Setup }} props */
export function Plan({ setup }) {
  const circles = /** @type {Chosen[]} */ (setup.circles);
  return html`<ul role="list" class="circle-plan">
    ${circles.map((circle) => html`<li key=${circle.name}><${Mark} of=${circle.sign} /> <span><strong>${circle.name}</strong>
      <span class="soft"> ${circle.kind ? EXERCISES[circle.kind]?.title.toLowerCase() : html`<${SignList} signs=${circle.symbols} />, ${circle.wpm} wpm`}</span></span></li>`)}
  </ul>`;
}

const PLACES = /** @type {const} */ ([['window', 'By the window'], ['door', 'By the door'], ['stage', 'By the stage']]);
/** An exercise that can be made to last as long as the others, or is ended with them. */
const OWN = Object.entries(EXERCISES).filter(([, { in_circles: fits }]) => fits);
const PURPOSES = /** @type {const} */ ([['mix', 'copy a mix'], ['apart', 'tell apart'], ['words', 'copy words'], ['calls', 'copy practice calls']]);
const LENGTHS = [60, 120, 180, 300, 600];

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function SetUp({ setup, change }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const sound = useConsole((state) => state.room?.sound);
  const fresh = (/** @type {number} */ i) => ({ name: PLACES[i][1], sign: PLACES[i][0], purpose: 'mix', symbols: known, kind: '', wpm: sound?.wpm ?? 18, overall_wpm: sound?.overall_wpm ?? 6 });
  useEffect(() => {
    if (setup === null && known !== '') change({ circles: [fresh(0), fresh(1)], lasts_s: 120 });
  }, [known]);
  if (setup === null) return html`<p class="help">Circles copy sounds that the class has met. Introduce some first.</p>`;
  const circles = /** @type {Chosen[]} */ (setup.circles);
  const put = (/** @type {number} */ at, /** @type {Partial<Chosen>} */ part) =>
    change({ ...setup, circles: circles.map((circle, i) => (i === at ? { ...circle, ...part } : circle)) });
  return html`<div class="circles-setup">
    ${circles.map((circle, i) => html`<${OneSetUp} key=${i} circle=${circle} known=${known} put=${(/** @type {Partial<Chosen>} */ part) => put(i, part)} />`)}
    <div class="compose-line">
      <label class="inline-field">All copy for <select class="input" value=${setup.lasts_s} onChange=${numbered((lasts) => change({ ...setup, lasts_s: lasts }))}>
        ${LENGTHS.map((seconds) => html`<option key=${seconds} value=${seconds}>${clockFace(seconds * 1000)}</option>`)}</select></label>
      ${circles.length < PLACES.length
        ? html`<button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => change({ ...setup, circles: [...circles, fresh(circles.length)] })}>A third circle</button>`
        : html`<button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => change({ ...setup, circles: circles.slice(0, -1) })}>Two circles only</button>`}
    </div>
  </div>`;
}

/** @param {{ circle: Chosen, known: string, put: (part: Partial<Chosen>) => void }} props */
function OneSetUp({ circle, known, put }) {
  const overall = (/** @type {number} */ wpm) => put({ wpm, overall_wpm: Math.min(circle.overall_wpm, wpm) });
  return html`<fieldset class="circle-setup">
    <legend><${Mark} of=${circle.sign} /> ${circle.name}</legend>
    <div class="compose-line">
      <label class="inline-field">called <input class="input" maxlength="24" value=${circle.name} onChange=${typed((name) => name.trim() !== '' && put({ name: name.trim() }))} /></label>
      <label class="inline-field">does <select class="input" value=${circle.kind || circle.purpose} onChange=${typed((what) => put(what in EXERCISES ? { kind: what, setup: undefined } : { kind: '', setup: undefined, purpose: /** @type {Chosen['purpose']} */ (what) }))}>
        ${PURPOSES.map(([purpose, words]) => html`<option key=${purpose} value=${purpose}>${words}</option>`)}
        ${OWN.map(([kind, { title }]) => html`<option key=${kind} value=${kind}>${title.toLowerCase()}</option>`)}</select></label>
      <label class="inline-field">sounds at <input class="input" type="number" min="5" max="60" value=${circle.wpm} onChange=${numbered(overall)} /> wpm</label>
      <label class="inline-field">overall <input class="input" type="number" min="1" max=${circle.wpm} value=${circle.overall_wpm}
        onChange=${numbered((wpm) => put({ overall_wpm: Math.min(wpm, circle.wpm) }))} /> wpm</label>
    </div>
    ${circle.kind !== '' && html`<details><summary>How it goes there</summary>
        <${ExerciseSetUp} kind=${circle.kind} setup=${circle.setup ?? null} change=${(/** @type {Setup | null} */ setup) => put({ setup: setup ?? {} })} /></details>
      <p class="help">${EXERCISES[circle.kind]?.title} goes on among those of this circle, and ends with the others. A circle holds no circles of its own.</p>`}
    ${circle.kind === '' && html`<${Palette} label=${`Sounds of ${circle.name}`} chosen=${circle.symbols} known=${known} only=${inTableOrder(known).join('')}
      onToggle=${(/** @type {string} */ sign) => put({ symbols: toggled(circle.symbols, sign) })} />`}
  </fieldset>`;
}
