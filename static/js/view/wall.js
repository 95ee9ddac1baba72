/** The wall: what the whole class may see, readable from ten metres. No names, and no solution before its time. */
import { html } from '../../vendor/preact.js';
import { bareUrl } from '../core/addresses.js';
import { runOnWall, wallPhase } from '../core/wall_words.js';
import * as copying from '../exercises/copying.js';
import { Exercise } from './parts/exercise.js';
import { useStore, useTicking } from './parts/use_store.js';

/** @import { WallOut } from '../wire.js' */
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
  const foot = lost ? html`<p role="status">The connection is lost; it comes back by itself.</p>` : html`<p>${wall.title}${wall.here > 0 && `, ${wall.here} here`}</p>`;
  if (run !== null && phase !== 'waiting') return html`<${copying.Wall} wall=${wall} run=${run} phase=${phase} roomMs=${roomMs} foot=${foot} />`;
  return html`<main class="wall" data-phase=${phase}>
    <header><h1>${wall.title}</h1></header>
    <${Join} wall=${wall} place=${place} />
    <footer>${foot}</footer>
  </main>`;
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
