/** Copying, the first exercise, as each page draws it: a learner's sheet, the run on the console, and the wall. */
import { html, useEffect, useMemo, useState } from '../../vendor/preact.js';
import { cellSize, losses, mostLost, signsIn, tableOf } from '../core/matrix.js';
import { clockFace, secondsLeft } from '../core/moment.js';
import { inOrder } from '../core/orders.js';
import { classNews, listed, signNow } from '../core/wall_words.js';
import { SentText, plainly } from '../view/console/signs.js';
import { Paper } from '../view/learner/paper.js';
import { Reveal } from '../view/learner/reveal.js';
import { Closed, Meeting, Run } from '../view/learner/run.js';
import { Matrix, useBox } from '../view/matrix.js';
import { Sign } from '../view/parts/sign.js';
import { useTicking } from '../view/parts/use_store.js';

/** @import { Screen } from '../core/learner_state.js' */
/** @import { Phase, RunDetail } from '../core/moment.js' */
/** @import { OnWall } from '../core/wall_words.js' */
/** @import { WallOut } from '../wire.js' */

/** A learner's sheet, in each of its states. */
const SHEETS = Object.freeze({ meeting: Meeting, run: Run, paper: Paper, closed: Closed, reveal: Reveal });

/** Whether a screen is one of the sheet's. @param {Screen} screen @returns {screen is keyof typeof SHEETS} */
export const isSheet = (screen) => screen in SHEETS;

/** @param {{ screen: keyof typeof SHEETS }} props */
export const Learner = ({ screen }) => html`<${SHEETS[screen]} />`;

/** The console's part comes when it is first wanted: no phone need load it. @param {{ detail: RunDetail }} props */
export function Console({ detail }) {
  const [file, setFile] = useState(/** @type {typeof import('../view/console/run_page.js') | null} */ (null));
  useEffect(() => void import('../view/console/run_page.js').then(setFile), []);
  return file && html`<${file.RunPage} run=${detail} />`;
}

/** @param {{ wall: WallOut, run: OnWall, phase: Phase, roomMs: () => number, foot: unknown }} props */
export function Wall({ wall, run, phase, roomMs, foot }) {
  return html`<main class="wall" data-phase=${phase}>
    <header>
      <h1>${headline(run.title ?? '', phase)}</h1>
      <p class="sign wall-code">${wall.code}</p>
    </header>
    ${(phase === 'counting in' || phase === 'tidying') && html`<${Countdown} run=${run} phase=${phase} roomMs=${roomMs} />`}
    ${(phase === 'sounding' || phase === 'paused') && html`<${Listening} wall=${wall} run=${run} phase=${phase} roomMs=${roomMs} />`}
    ${phase === 'closed' && html`<div class="wall-middle"><p class="wall-quiet">The sheets are in.</p></div>`}
    ${phase === 'revealed' && html`<${Result} wall=${wall} run=${run} />`}
    <footer>${foot}</footer>
  </main>`;
}

/** @param {string} prompt  "" while the run must not be named @param {Phase} phase */
function headline(prompt, phase) {
  switch (phase) {
    case 'counting in': return prompt === '' ? 'Get ready' : prompt;
    case 'sounding': return prompt === '' ? 'Write what you hear' : prompt;
    case 'paused': return 'A short pause';
    case 'tidying': return 'Tidy up your sheet';
    case 'closed': return 'Pencils down';
    case 'revealed': return `What we wrote: ${prompt}`;
    default: return '';
  }
}

/** @param {{ run: OnWall, phase: Phase, roomMs: () => number }} props */
function Countdown({ run, phase, roomMs }) {
  const until = phase === 'counting in' ? run.begins_room_ms : run.tidy_ends_room_ms;
  const left = useTicking(() => secondsLeft(until - roomMs()), 200);
  return html`<div class="wall-middle">
    <p class="wall-number" role="timer">${left > 99 ? clockFace(left * 1000) : Number.isNaN(left) ? '' : left}</p>
    <p class="wall-quiet">${phase === 'counting in' ? 'Missed one? Leave a blank, and on to the next.' : 'Then the sheets are taken in.'}</p>
  </div>`;
}

/** @param {number} ms  NaN while the clock is not usable */
const leftFor = (ms) => (Number.isNaN(ms) ? '' : `${clockFace(ms)} left`);

/** @param {{ wall: WallOut, run: OnWall, phase: Phase, roomMs: () => number }} props */
function Listening({ wall, run, phase, roomMs }) {
  const left = useTicking(() => leftFor(run.ends_room_ms - roomMs()), 200);
  const sign = useTicking(() => signNow(run, roomMs()), 50);
  const share = wall.expected === 0 ? 0 : Math.min(1, wall.written / wall.expected);
  return html`<div class="wall-middle">
    ${sign !== '' && html`<p class="wall-sign"><${Sign} sign=${sign} /></p>`}
    <p class="wall-now"><span class="dot" data-is=${phase === 'sounding' ? 'now' : ''}></span> ${phase === 'paused' ? 'It goes on soon' : left}</p>
    ${wall.expected > 0 && run.shown === '' && html`<div class="wall-progress">
      <span class="wall-bar" style=${{ '--share': share }}></span>
      <p class="wall-quiet">${wall.written} of ${wall.expected} sounds written down by the class</p>
    </div>`}
  </div>`;
}

const ON_WALL = Object.freeze({ smallest: 44, largest: { width: 128, height: 88 }, beside: { width: 330, height: 90 } });

/** @param {{ wall: WallOut, run: OnWall }} props */
function Result({ wall, run }) {
  const table = useMemo(() => tableOf(wall.cells, inOrder([...signsIn(wall.cells), ...run.symbols ?? ''], 'alphabet', '')), [wall]);
  const [box, room] = useBox();
  const size = cellSize(room, table.rows.length, table.columns.length, ON_WALL);
  return html`<div class="wall-result">
    <div class="wall-table" ref=${box}>
      ${room.width > 0 && (size === null ? html`<${Lost} table=${table} />`
        : html`<div style=${{ '--cell-width': `${size.width}px`, '--cell-height': `${size.height}px` }}>
          <${Matrix} table=${table} figures="counts" caption="What the class wrote" recall=${false}
            marked=${new Set(wall.pairs.map(({ sent, written }) => sent + written))} /></div>`)}
    </div>
    <${Sent} text=${run.text ?? ''} />
    <${News} table=${table} pairs=${wall.pairs} copies=${wall.copies} />
    ${size !== null && html`<p class="wall-legend"><span>rows: what was sent</span> <span>columns: what was written</span> <span>hatched: blank or missed</span></p>`}
  </div>`;
}

const LONG_TEXT = 120;

/** For those who compare a sheet of paper. @param {{ text: string }} props */
function Sent({ text }) {
  return html`<section class="wall-sent" data-long=${text.length > LONG_TEXT ? '' : undefined} aria-label="What was sent">
    <${SentText} text=${text} /></section>`;
}

/** Too many sounds for a table that can be read from afar: those that lost most.
 * @param {{ table: import('../core/matrix.js').Table }} props */
function Lost({ table }) {
  const lost = mostLost(table).slice(0, 7);
  return html`<table class="wall-lost">
    <caption>What was lost most often in this run, and what was written instead</caption>
    <tbody>${lost.map((row) => html`<tr key=${row.sent}>
      <th scope="row"><${Sign} sign=${row.sent} /></th>
      <td>${row.right} of ${row.of}</td>
      <td>${losses(row).filter(({ kind }) => kind === 'wrong').slice(0, 3).map(({ column, count, level }) => html`<span class="chip" data-kind="wrong"
        data-level=${level}>${column.kind === 'other' ? 'other' : html`<${Sign} sign=${column.sign} />`} ${count}</span>`)}</td>
    </tr>`)}</tbody>
  </table>`;
}

/** @param {{ table: import('../core/matrix.js').Table, pairs: WallOut['pairs'], copies: number }} props */
function News({ table, pairs, copies }) {
  const { have, alike } = classNews(table, pairs);
  return html`<div class="wall-news">
    ${have.length > 0 && html`<p>In this run most of us had <strong>${listed(have.map(plainly))}</strong>.</p>`}
    ${alike !== null && html`<p><strong>${plainly(alike[0])}</strong> and <strong>${plainly(alike[1])}</strong> were mixed up in this run. Listen to both again.</p>`}
    ${have.length === 0 && alike === null && html`<p>${table.right} of ${table.copied} sounds heard right in this run.</p>`}
    <p class="soft">${copies} ${copies === 1 ? 'copy' : 'copies'}</p>
  </div>`;
}
