/** The wall: the wire with its practice calls, and how many groups are in place. No names, and no text before the end. */
import { html } from '../../../vendor/preact.js';
import { useTicking } from '../../view/parts/use_store.js';
import { between, CAUTION, endInWords, turnInWords } from './words.js';

/** @import { NetForWall } from '../../wire.js' */
/** @import { Given } from '../../view/parts/exercise.js' */

/** @param {Given & { shown: NetForWall }} props */
export function NetOnWall({ shown, roomMs }) {
  const calls = shown.stations.map(({ call }) => call);
  const title = useTicking(() => headline(shown, calls, roomMs()), 200);
  const sends = useTicking(() => (shown.phase === 'parts' ? shown.at : between(shown.turn, roomMs(), shown.hand).sends), 200);
  const copies = useTicking(() => (shown.phase === 'parts' ? -1 : between(shown.turn, roomMs(), shown.hand).copies), 200);
  return html`<main class="wall">
    <header><h1>${title}</h1><p><span class="net-practice">practice calls</span></p></header>
    <ul class="net-wall" role="list" data-shown=${shown.stations.some(({ groups }) => groups.length > 0) ? '' : undefined}>
      ${shown.stations.map(({ call, in_place: place, receipted, groups }, i) => html`<li key=${i} data-is=${i === sends ? 'sends' : i === copies ? 'copies' : 'waits'}>
        <span class="net-node" aria-hidden="true">${i === copies ? (sends > i ? '▲' : '▼') : ''}</span>
        <span class="sign net-wall-call">${call}</span>
        <span class="net-bar" style=${{ '--share': shown.of === 0 ? 0 : place / shown.of }} aria-hidden="true"></span>
        <span class="net-count"><b>${place}</b> of ${shown.of}${receipted ? ', R' : ''}</span>
        ${groups.length > 0 && html`<span class="sign net-wall-text">${groups.join(' ')}</span>`}
      </li>`)}
    </ul>
    <footer><p>${shown.figures.in_place} of ${shown.figures.of} groups in place. A missing group is asked for by its neighbour, a gap by both its edges. ${CAUTION}</p></footer>
  </main>`;
}

/** @param {NetForWall} shown @param {string[]} calls @param {number} roomMs */
function headline({ phase, at, turn, hand, figures }, calls, roomMs) {
  if (phase === 'complete') return endInWords(figures);
  if (phase === 'parts') return `${calls[at]} sends: copy along`;
  return turn === null && hand === null ? 'Who misses a group?' : turnInWords(turn, calls, roomMs, hand);
}
