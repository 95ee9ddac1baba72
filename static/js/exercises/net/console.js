/** The console: stations on one wire, a cell a group, what was asked and what is expected, and the net's figures. */
import { html } from '../../../vendor/preact.js';
import { Ribbon } from '../../view/console/ribbon.js';
import { HandOver, SkipTurn } from '../../view/parts/turns.js';
import { useTicking } from '../../view/parts/use_store.js';
import { Exchanges, Figures, Sent } from './parts.js';
import { between, CAUTION, endInWords, turnInWords } from './words.js';

/** @import { NetForConsole, NetStation } from '../../wire.js' */
/** @import { Given } from '../../view/parts/exercise.js' */

/** @type {Record<string, string>} */
const CELLS = { o: 'own part', c: 'copied', f: 'came by a fill', a: 'asked now', m: 'missing', p: 'on paper', l: 'not sent yet' };

/** @param {Given & { shown: NetForConsole }} props */
export function NetOnConsole({ shown, send, roomMs, detail, parts = {}, seats = [], run: push }) {
  const live = useTicking(() => JSON.stringify(between(shown.turn, roomMs(), shown.hand)), 200);
  const lost = shown.stations.filter((station) => station.seat > 0 && !station.here);
  const open = Object.values(parts).find((part) => part?.run?.phase !== 'closed' && part?.run?.phase !== 'revealed' && part?.run?.push !== push)?.run ?? null;
  return html`<div class="net-console">
    <${Now} shown=${shown} isShown=${detail?.phase === 'revealed'} />
    ${shown.phase === 'parts' && open && html`<${Ribbon} run=${open} phase=${open.phase} />`}
    <${Wire} shown=${shown} live=${JSON.parse(live)} />
    <ul class="net-legend soft" role="list">${Object.entries(CELLS).map(([is, words]) => html`<li key=${is}><span class="net-dot" data-is=${is} aria-hidden="true">${is === 'a' ? '?' : ''}</span> ${words}</li>`)}</ul>
    <div class="net-lead">
      ${send && shown.phase !== 'complete' && html`<${SkipTurn} send=${send} words=${shown.phase === 'parts' ? 'On to the next part' : shown.hand !== null ? 'Take the key back' : 'Let the server answer'} />`}
      ${send && lost.map(({ seat, call, name }) => html`<span key=${seat} class="net-lost">${call} ${name}: held until back. <${HandOver} send=${send} seat=${seat} name=${call} seats=${seats} /></span>`)}
      <span class="soft"><span class="net-practice">practice calls</span> made up for this net. ${CAUTION}</span>
    </div>
    ${shown.unclear !== '' && html`<p>What was keyed was read as <span class="sign">${shown.unclear}</span>, and not surely: nothing came of it.</p>`}
    ${shown.late > 0 && html`<p class="soft">${shown.late} ${shown.late === 1 ? 'tone' : 'tones'} of the last hand came too late to be heard.</p>`}
    <${Figures} figures=${shown.figures} />
    ${shown.exchanges.length > 0 && html`<h3>Asked, and how <span class="soft">latest first</span></h3><${Exchanges} exchanges=${shown.exchanges} />`}
    ${shown.copiers.length > 0 && html`<p class="soft">No station, copy all of it: ${shown.copiers.map(({ name }) => name).join(', ')}</p>`}
  </div>`;
}

/** The turn in a sentence: the card's heading. @param {Given & { shown: NetForConsole }} props */
export function NetTitle({ shown, roomMs }) {
  const words = useTicking(() => headline(shown, shown.stations.map(({ call }) => call), roomMs()), 200);
  return html`<span class="net-turn" aria-live="polite">${words}</span>`;
}

/** What was asked, what is expected, and what follows. @param {{ shown: NetForConsole, isShown: boolean }} props */
function Now({ shown, isShown }) {
  const { turn, figures } = shown;
  const asker = turn && shown.stations[turn.asker];
  return html`${turn && asker ? html`<p class="net-line net-told"><span class="dot" data-is="now"></span><span><span class="soft">asked:</span> <${Sent} text=${turn.text} /></span>
      ${shown.expected !== '' && html`<span><span class="soft">expected:</span> <${Sent} text=${shown.expected} /></span>`}
      <span class="soft">${turn.fault !== '' ? turn.fault : `then ${asker.call} counts: ${asker.in_place} of ${figures.of / shown.stations.length}`}</span></p>`
      : html`<p class="soft">${follows(shown, isShown)}</p>`}`;
}

/** @param {NetForConsole} shown @param {string[]} calls @param {number} roomMs */
function headline(shown, calls, roomMs) {
  if (shown.phase === 'complete') return endInWords(shown.figures);
  if (shown.phase === 'parts') return `Part ${shown.at + 1} of ${calls.length} is sent, for ${calls[shown.at]}; all others copy`;
  return turnInWords(shown.turn, calls, roomMs, shown.hand);
}

/** @param {NetForConsole} shown @param {boolean} isShown */
function follows({ phase, stations, figures }, isShown) {
  if (phase === 'parts') return 'Then the stations ask for what they miss.';
  if (phase === 'complete') return `${figures.complete_room_ms > 0 ? 'Every station has given its R. ' : ''}${isShown ? 'Wrong groups stand' : 'Once it is shown, wrong groups stand'} beside what was sent on each page.`;
  const waits = stations.filter(({ receipted, seat }) => seat > 0 && !receipted).map(({ call }) => call);
  return `${figures.in_place} of ${figures.of} groups in place. No R yet from ${waits.join(', ') || 'nobody'}.`;
}

/** @param {{ shown: NetForConsole, live: { sends: number, copies: number, sounds: boolean } }} props */
function Wire({ shown, live }) {
  const { stations, turn } = shown;
  const sends = shown.phase === 'parts' ? shown.at : live.sends;
  const [low, high] = [Math.min(sends, live.copies), Math.max(sends, live.copies)];
  return html`<div class="net-scroll" tabindex="0" role="region" aria-label="Stations and groups"><table class="net-wire">
    <thead><tr><th scope="col" class="unseen">station</th>
      ${stations.map((station, i) => html`<th key=${i} scope="colgroup" colspan=${station.groups.length} class="net-head"><span class="sign">${station.call}</span> <small>GR ${station.groups.length}</small></th>`)}</tr>
      <tr><td></td>${stations.flatMap((station, i) => station.groups.map((group, k) => html`<th key=${`${i} ${k}`} scope="col" class="net-word" data-first=${k === 0 ? '' : undefined}><span class="sign">${group}</span></th>`))}</tr></thead>
    <tbody>${stations.map((station, i) => html`<tr key=${i}>
      <th scope="row" class="net-station" data-is=${roleOf(station, i, sends, live.copies)} data-wire=${live.copies >= 0 && i >= low && i < high ? 'live' : i < stations.length - 1 ? 'quiet' : 'end'}>
        <span class="net-node" aria-hidden="true">${i === live.copies ? (sends > i ? '▲' : '▼') : ''}</span>
        <span><span class="sign">${station.call}</span> ${station.name}
          <small><b>${station.in_place}</b> of ${station.states.join('').length}, ${roleInWords(station, i, sends, live, shown.phase)}</small></span></th>
      ${station.states.flatMap((states, part) => [...states].map((state, k) => {
        const asked = turn !== null && turn.asker === i && turn.to === part && turn.groups.includes(k) && state === 'm';
        const is = asked ? 'a' : state;
        return html`<td key=${`${part} ${k}`} data-first=${k === 0 ? '' : undefined}><span class="net-dot" data-is=${is}>${asked ? '?' : ''}<span class="unseen">${CELLS[is]}</span></span></td>`;
      }))}
    </tr>`)}</tbody>
  </table></div>`;
}

/** @param {NetStation} station @param {number} i @param {number} sends @param {number} copies */
const roleOf = (station, i, sends, copies) => (i === sends ? 'sends' : i === copies ? 'copies' : station.seat > 0 && !station.here ? 'held' : 'waits');

/** @param {NetStation} station @param {number} i @param {number} sends @param {{ copies: number, sounds: boolean }} live @param {string} phase */
function roleInWords(station, i, sends, { copies, sounds }, phase) {
  if (station.seat > 0 && !station.here) return `held for ${station.name}`;
  const by = station.seat === 0 ? 'the server' : '';
  const does = i === sends ? (phase === 'parts' ? 'its part is sent' : sounds ? 'sends now' : 'is to answer') : i === copies ? 'copies' : station.receipted ? 'R given' : phase === 'parts' ? 'copies' : 'hears all';
  return [by, does].filter((word) => word !== '').join(', ');
}
