/** Relay: a message from learner to learner. What a learner, the console and the wall see of it, and how it is set up. */
import { html } from '../../vendor/preact.js';
import { Ribbon } from '../view/console/ribbon.js';
import { SentText } from '../view/console/signs.js';
import { useLearner, usePage, usePhase } from '../view/learner/context.js';
import { Sign, spoken } from '../view/parts/sign.js';
import { HandOver, TurnStrip } from '../view/parts/turns.js';
import { AtKey } from './by_hand/sender.js';
import { RelaySetUp } from './relay/setup.js';
import { KINDS, arrived, cellsOf, copiedWords, fromWords, lengthOf, question, standsWords, turnWords, versionsOf, waitingWords } from './relay_words.js';

/** @import { AtKeyOut, RelayForConsole, RelayForLearner, RelayForWall, RelayPath, RelayStation, SeatOut } from '../wire.js' */
/** @import { Given, Setup } from '../view/parts/exercise.js' */
/** @import { Send } from '../core/messages.js' */

// ---------------------------------------------------------------- the table of one chain

/** All versions over each other: rows are stations, columns the characters.
 * @param {{ path: RelayPath, showEmpty?: boolean }} props  showEmpty: rows of stations that have nothing yet, too */
function Tracks({ path, showEmpty = false }) {
  const rows = path.stations.filter(({ signs }) => showEmpty || signs !== '');
  const of = lengthOf(path);
  const message = { signs: path.columns, kinds: path.columns.replace(/[^ ]/gu, '=') };
  return html`<div class="relay-tracks" tabindex="0" role="group" aria-label=${`The way of the message, chain ${path.chain}`}
    style=${{ '--columns': [...path.columns].length + path.words.length / 2 }}><table>
    <tbody>
      <tr data-is="message"><th scope="row">the message <small>what was meant to arrive</small></th>
        <${Cells} path=${path} row=${message} first=${true} /><td class="relay-count">${of} <small>sent</small></td></tr>
      ${rows.map((station) => html`<tr key=${station.station} data-status=${station.status}>
        <th scope="row">${station.name === '' ? `station ${station.station}` : `${station.station} ${station.name}`} <small>${copiedWords(station)}</small></th>
        ${station.signs === '' ? html`<td class="relay-empty" colspan=${[...path.columns].length}>${standsWords(station)}</td><td></td>`
          : html`<${Cells} path=${path} row=${station} /><td class="relay-count">${station.in_place} <small>of ${of}</small></td>`}
      </tr>
      ${station.keyed_signs !== '' && html`<tr key=${`${station.station} keyed`} data-is="keyed">
        <th scope="row"><span class="unseen">station ${station.station}</span> keyed it as</th>
        <${Cells} path=${path} row=${{ signs: station.keyed_signs, kinds: station.keyed_kinds }} />
        <td class="relay-count">${station.keyed_in_place} <small>of ${of}</small></td></tr>`}`)}
    </tbody>
  </table></div>`;
}

/** @param {{ path: RelayPath, row: Pick<RelayStation, 'signs' | 'kinds'>, first?: boolean }} props */
const Cells = ({ path, row, first = false }) => html`${cellsOf(path, /** @type {RelayStation} */ (row)).map(({ sign, kind, word, said }, i) =>
  html`<td key=${i} class="relay-cell" data-kind=${first ? 'first' : kind} data-word=${word ? '' : undefined}
    data-lost=${kind === 'p' && (sign === '' || sign === '_') ? '' : undefined}>
    <span class="relay-sign" aria-hidden="true">${sign !== '' && html`<${Sign} sign=${sign} />`}</span>
    <span class="unseen">${sign === '' ? '' : spoken(sign)}${!first && kind !== '=' && said !== '' ? ` ${said}` : ''}</span>
  </td>`)}`;

/** What the marks mean, as far as they are there. @param {{ path: RelayPath }} props */
function Legend({ path }) {
  const there = new Set(versionsOf(path).flatMap(({ kinds }) => [...kinds]));
  const shown = [...'clapb'].filter((kind) => there.has(kind));
  return html`<p class="relay-legend">${shown.map((kind) => html`<span key=${kind}><i class="relay-cell" data-kind=${kind} aria-hidden="true"><span class="relay-sign"></span></i>
    ${KINDS[kind]}</span>`)}<span class="soft">read downwards: one line a character</span></p>`;
}

// ---------------------------------------------------------------- a learner

/** @param {Given & { shown: RelayForLearner }} props */
export function Learner({ shown, run, sheet, send = () => false, roomMs }) {
  if (shown.shown) return html`<${Afterwards} shown=${shown} />${shown.station > 0 && sheet}`;
  const copies = shown.role === 'copies' && !shown.closed && sheet;
  return html`<div class="relay-head">
      ${!shown.closed && shown.at > 0 && html`<${Turns} shown=${shown} />`}
      ${copies && html`<${PassOn} shown=${shown} />`}
    </div>
    ${shown.key !== null ? html`<${Keys} key=${shown.key.turn} at=${shown.key} next=${shown.at} run=${run} send=${send} roomMs=${roomMs} />`
      : copies || html`<${Waiting} shown=${shown} />`}`;
}

/** Who has copied keys it for the next one. @param {{ at: AtKeyOut, next: number, run: number, send: Send, roomMs: () => number }} props */
function Keys({ at, next, run, send, roomMs }) {
  const byMachine = () => send('relay_by_machine', {});
  return html`<${AtKey} at=${at} run=${run} send=${send} roomMs=${roomMs} order="Send what you have" heardBy=${`station ${next} hears`}
    foot=${html`<button type="button" class="button" data-kind="bare" onClick=${byMachine}>Let the machine send</button>`} />`;
}

/** @param {{ shown: RelayForLearner }} props */
function Turns({ shown: { role, station, at, at_name, copied, keys } }) {
  return html`<${TurnStrip} places=${[
    { is: 'key', word: keys > 0 ? 'keys' : 'sends', who: keys > 0 ? `station ${keys}` : copied === 0 ? 'machine' : fromWords(copied), own: copied > 0 && copied === station },
    { is: 'sheet', word: 'copies', who: at_name || `station ${at}`, own: role === 'copies' },
    { is: 'ring', word: 'waits', who: 'all others', own: role === 'waits' },
  ]} />`;
}

/** The receiver says when it is all. @param {{ shown: RelayForLearner }} props */
function PassOn({ shown: { keys, key_held: held, copied } }) {
  const { actions } = usePage();
  const phase = usePhase();
  const handedIn = useLearner((state) => state.handedIn);
  const typing = useLearner((state) => state.copyWay === 'typing');
  if (handedIn) return html`<p class="relay-line">It goes on to the next station.</p>`;
  if (phase !== 'tidying' && keys > 0) return html`<p class="relay-line soft">${held ? `Station ${keys} is away from the key; it is waited for.` : `Sent by hand, by station ${copied}.`}</p>`;
  if (phase !== 'tidying') return html`<p class="relay-line soft">What you write is passed on; a blank as a pause.</p>`;
  return typing && html`<button type="button" class="button" data-kind="primary" onClick=${actions.handIn}>That is what I have: pass it on</button>`;
}

/** @param {{ shown: RelayForLearner }} props */
function Waiting({ shown }) {
  const { title, line } = waitingWords(shown);
  return html`<main class="column relay-wait">
    <h1>${title}</h1><p>${line}</p>
    ${shown.station > 0 && html`<p class="soft">You are station ${shown.station} of ${shown.stations}${shown.chains > 1 ? `, chain ${shown.chain}` : ''}.</p>`}
  </main>`;
}

/** One's own place, and the whole way. @param {{ shown: RelayForLearner }} props */
function Afterwards({ shown: { station, stations, came, passed, path } }) {
  if (path === null) return null;
  return html`<main class="column relay-after">
    <h1>How the message travelled</h1>
    ${station > 0 && html`<dl class="relay-own"><div><dt>You were</dt><dd>station ${station} of ${stations}</dd></div>
      <div><dt>came in</dt><dd>${came === '' ? 'nothing' : html`<${SentText} text=${came} />`}</dd></div>
      <div><dt>passed on</dt><dd>${passed === '' ? 'nothing' : html`<${SentText} text=${passed} />`}</dd></div></dl>`}
    <${Tracks} path=${path} />
    <${Legend} path=${path} />
    <p>${arrived(path)}</p><p>${question(path)}</p>
  </main>`;
}

// ---------------------------------------------------------------- the console

/** @param {Given & { shown: RelayForConsole }} props */
export function Console({ shown, parts = {}, seats = [], send }) {
  const many = shown.paths.length > 1;
  return html`<div class="relay-console">
    ${shown.paths.map((path, i) => html`<section key=${path.chain} class="relay-chain" aria-label=${`Chain ${path.chain}`}>
      <${Chain} path=${path} own=${shown.seats[i] ?? []} pushes=${shown.pushes[i] ?? []} many=${many} parts=${parts} seats=${seats} send=${send} shown=${shown.shown} />
      ${many && shown.shown && (shown.chain === path.chain ? html`<p class="soft">This one is on the wall.</p>`
        : html`<button type="button" class="button" data-size="small" onClick=${() => send?.('show_relay_chain', { chain: path.chain })}>Put this one on the wall</button>`)}
    </section>`)}
    ${shown.late > 0 && !shown.shown && html`<p><strong>${shown.late} ${shown.late === 1 ? 'tone' : 'tones'} came too late to be heard.</strong></p>`}
    <p class="soft">${shown.shown ? 'The wall and the phones show the way.' : `Nobody but you sees the message before you close and show it. Names are ${shown.names ? '' : 'not '}on the wall.`}</p>
  </div>`;
}

/** @param {RelayPath} path @param {boolean} shown */
const whereWords = (path, shown) => (shown ? arrived(path) : turnWords(path, ({ station, name }) => `Station ${station}, ${name},`));

/** Where the message is: the card's heading. @param {{ shown: RelayForConsole }} props */
export const Title = ({ shown: { paths, shown } }) => (shown ? 'How the message travelled'
  : paths.length === 1 ? whereWords(paths[0], false) : `${paths.filter(({ over }) => !over).length} of ${paths.length} chains are under way`);

/** @param {{ path: RelayPath, own: number[], pushes: number[], many: boolean, parts: NonNullable<Given['parts']>, seats: readonly SeatOut[], send?: Send, shown: boolean }} props */
function Chain({ path, own, pushes, many, parts, seats, send, shown }) {
  const at = path.stations.findIndex(({ status }) => status === 'copies' || status === 'held');
  const leg = parts[pushes[at] ?? 0];
  const copy = leg?.progress?.copies[0];
  return html`${many ? html`<h3>Chain ${path.chain}: ${whereWords(path, shown)}</h3>` : shown && html`<p>${arrived(path)}</p>`}
    ${at >= 0 && leg?.run && html`${leg.run.sent > 0 && html`<${Ribbon} run=${leg.run} phase=${leg.run.phase} />`}
      <p class="soft">${copy?.written ?? 0}${leg.run.sent > 0 && ` of ${leg.run.sent}`} written${copy?.handed_in ? ', and passed on' : ''}</p>`}
    <${Tracks} path=${path} showEmpty=${true} />
    ${shown ? html`<p>${question(path)}</p>` : html`<${Led} path=${path} own=${own} push=${pushes[at] ?? 0} at=${at} seats=${seats} send=${send} />`}`;
}

/** What an instructor does about the station at hand, and about those that wait.
 * @param {{ path: RelayPath, own: number[], push: number, at: number, seats: readonly SeatOut[], send?: Send }} props */
function Led({ path, own, push, at, seats, send }) {
  if (send === undefined || path.over) return null;
  const waits = path.stations.map((station, i) => ({ station, seat: own[i] ?? 0 })).filter(({ station }) => station.status === 'waits');
  const seat = own[at] ?? 0;
  const keys = path.stations.findIndex(({ station }) => station === path.keys);
  return html`${keys >= 0 && html`<div class="relay-led"><span>Station ${path.keys} ${path.held ? 'is away from the key' : 'keys'}</span>
      <button type="button" class="button" data-size="small" onClick=${() => send('relay_by_machine', { seat: own[keys] ?? 0 })}>Let the machine send it</button></div>`}
    ${at >= 0 && html`<div class="relay-led">
      <button type="button" class="button" data-size="small" onClick=${() => send('hand_in', { push, seat })}>Pass on what is there</button>
      <button type="button" class="button" data-size="small" onClick=${() => send('hand_over', { seat, to: seat })}>Send it again</button>
      <button type="button" class="button" data-size="small" onClick=${() => send('pass_over_station', { seat })}>Pass over</button>
      <${HandOver} send=${send} seat=${seat} name=${`station ${path.stations[at]?.station ?? ''}`} seats=${seats.filter(({ device }) => device)} />
    </div>`}
    ${waits.length > 0 && html`<details><summary>Those who wait</summary>
      ${waits.map(({ station, seat: waiting }) => html`<div class="relay-led" key=${station.station}><span>${station.station} ${station.name}</span>
        <button type="button" class="button" data-size="small" onClick=${() => send('pass_over_station', { seat: waiting })}>Pass over ${station.name}</button>
        <${HandOver} send=${send} seat=${waiting} name=${station.name} seats=${seats.filter(({ device }) => device)} /></div>`)}
    </details>`}`;
}

// ---------------------------------------------------------------- the wall

/** @param {Given & { shown: RelayForWall }} props */
export function Wall({ shown }) {
  const path = shown.paths[shown.chain - 1];
  if (shown.shown && path !== undefined) return html`<${WallPath} path=${path} many=${shown.paths.length > 1} />`;
  const over = shown.paths.every((chain) => chain.over);
  return html`<main class="wall">
    <header><h1>${shown.closed || over ? 'The message has arrived' : 'The message is on its way'}</h1></header>
    <div class="relay-stations" data-one=${shown.paths.length === 1 ? '' : undefined}>
      ${shown.paths.map((chain) => html`<section key=${chain.chain} aria-label=${`Chain ${chain.chain}`}>
        ${shown.paths.length > 1 && html`<h2>Chain ${chain.chain}</h2>`}
        <ol role="list">${chain.stations.map((station) => html`<li key=${station.station} data-status=${station.status}>
          <span class="dot" data-is=${station.status === 'copies' && !shown.closed ? 'now' : station.status === 'passed' ? 'done' : ''}></span>
          <b>${station.name || `station ${station.station}`}</b> <span class="soft">${standsWords(station)}</span></li>`)}</ol>
      </section>`)}
    </div>
    <footer><p>${shown.closed || over ? 'Then we look at the way that it went.' : 'Who waits hears nothing: each version sounds for one station alone.'}</p></footer>
  </main>`;
}

/** @param {{ path: RelayPath, many: boolean }} props */
function WallPath({ path, many }) {
  return html`<main class="wall relay-wall">
    <header><h1>How the message travelled</h1>${many && html`<p>chain ${path.chain}</p>`}</header>
    <${Tracks} path=${path} />
    <div class="relay-talk"><p>${arrived(path)}</p><p>${question(path)}</p></div>
    <footer><${Legend} path=${path} /></footer>
  </main>`;
}

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function SetUp(props) {
  return html`<${RelaySetUp} ...${props} />`;
}
