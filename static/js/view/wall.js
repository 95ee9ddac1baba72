/** The wall: what the whole class may see, readable from ten metres. No names, and no solution before its time. */
import { html, useMemo } from '../../vendor/preact.js';
import { bareUrl } from '../core/addresses.js';
import { cellSize, losses, mostLost, signsIn, tableOf } from '../core/matrix.js';
import { clockFace, secondsLeft } from '../core/moment.js';
import { inOrder } from '../core/orders.js';
import { classNews, listed, runOnWall, signNow, wallPhase } from '../core/wall_words.js';
import { SentText, plainly } from './console/signs.js';
import { Matrix, useBox } from './matrix.js';
import { Exercise } from './parts/exercise.js';
import { Sign } from './parts/sign.js';
import { useStore, useTicking } from './parts/use_store.js';

/** @import { WallOut } from '../wire.js' */
/** @import { Phase } from '../core/moment.js' */
/** @import { OnWall } from '../core/wall_words.js' */
/** @import { Place } from './console/desk.js' */

/** @param {{ store: import('../core/store.js').Store<import('../wall.js').WallState, Partial<import('../wall.js').WallState>>, roomMs: () => number }} props */
export function WallPage({ store, roomMs }) {
  const wall = useStore(store, (state) => state.wall);
  const place = useStore(store, (state) => state.place);
  const lost = useStore(store, (state) => state.connection === 'lost');
  const gone = useStore(store, (state) => state.gone);
  const exercise = useStore(store, (state) => state.exercise);
  if (wall === null) return html`<main class="wall"><div role="status"><h1>${gone === '' ? 'Looking for the room …' : gone}</h1></div></main>`;
  if (exercise !== null) return html`<${Exercise} exercise=${exercise} page="Wall" roomMs=${roomMs} />`;
  return html`<${Wall} wall=${wall} place=${place} lost=${lost} roomMs=${roomMs} />`;
}

/** @param {{ wall: WallOut, place: Place | null, lost: boolean, roomMs: () => number }} props */
function Wall({ wall, place, lost, roomMs }) {
  const run = runOnWall(wall);
  const phase = useTicking(() => wallPhase(run, roomMs()));
  const waits = phase === '' || phase === 'waiting';
  return html`<main class="wall" data-phase=${phase}>
    <header>
      <h1>${headline(wall.title, run?.title ?? '', phase)}</h1>
      ${!waits && html`<p class="sign wall-code">${wall.code}</p>`}
    </header>
    ${waits && html`<${Join} wall=${wall} place=${place} />`}
    ${(phase === 'counting in' || phase === 'tidying') && html`<${Countdown} run=${run} phase=${phase} roomMs=${roomMs} />`}
    ${(phase === 'sounding' || phase === 'paused') && html`<${Listening} wall=${wall} run=${run} phase=${phase} roomMs=${roomMs} />`}
    ${phase === 'closed' && html`<div class="wall-middle"><p class="wall-quiet">The sheets are in.</p></div>`}
    ${phase === 'revealed' && run !== null && html`<${Result} wall=${wall} run=${run} />`}
    <footer>${lost ? html`<p role="status">The connection is lost; it comes back by itself.</p>` : html`<p>${wall.title}${wall.here > 0 && `, ${wall.here} here`}</p>`}</footer>
  </main>`;
}

/** @param {string} title @param {string} prompt  "" while the run must not be named @param {Phase} phase */
function headline(title, prompt, phase) {
  switch (phase) {
    case 'counting in': return prompt === '' ? 'Get ready' : prompt;
    case 'sounding': return prompt === '' ? 'Write what you hear' : prompt;
    case 'paused': return 'A short pause';
    case 'tidying': return 'Tidy up your sheet';
    case 'closed': return 'Pencils down';
    case 'revealed': return `What we wrote: ${prompt}`;
    default: return title;
  }
}

/** @param {{ wall: WallOut, place: Place | null }} props */
function Join({ wall: { code, here }, place }) {
  return html`<div class="wall-join">
    ${place && html`<img src=${place.qr_svg} alt=${`QR code of ${place.url}`} />`}
    <div>
      <p>Scan it, or open</p>
      <p class="wall-url">${place ? bareUrl(place.url) : 'the address that your instructor says'}</p>
      <p>and join with</p>
      <p class="sign wall-big-code">${code}</p>
      <p class="soft">${here === 0 ? 'Nobody is in yet.' : `${here} ${here === 1 ? 'is' : 'are'} in.`}</p>
    </div>
  </div>`;
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
