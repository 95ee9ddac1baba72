/** A net with fills: what a learner, the console and the wall see of it, and how it is set up. */
import { html, useEffect } from '../../vendor/preact.js';
import { useConsole } from '../view/console/desk.js';
import { numbered, ticked, typed } from '../view/parts/fields.js';
import { NetOnConsole, NetTitle } from './net/console.js';
import { NetOnPhone } from './net/phone.js';
import { NetOnWall } from './net/wall.js';

/** @import { NetForConsole, NetForLearner, NetForWall } from '../wire.js' */
/** @import { Given, Setup } from '../view/parts/exercise.js' */

/** @param {Given & { shown: NetForLearner }} props */
export function Learner(props) {
  return html`<${NetOnPhone} ...${props} />`;
}

/** @param {Given & { shown: NetForConsole }} props */
export function Console(props) {
  return html`<${NetOnConsole} ...${props} />`;
}

/** @param {Given & { shown: NetForConsole }} props */
export function Title(props) {
  return html`<${NetTitle} ...${props} />`;
}

/** @param {Given & { shown: NetForWall }} props */
export function Wall(props) {
  return html`<${NetOnWall} ...${props} />`;
}

const CHANCES = /** @type {const} */ ([[0, 'nothing: only what was not written is missing'], [0.1, '1 group in 10'], [0.15, '15 of 100 groups'], [0.25, '1 group in 4']]);
const GROUPS = [4, 6, 8, 10, 12, 16];
const [FEWEST, MOST] = [2, 6];

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function SetUp({ setup, change }) {
  const known = useConsole((state) => [...(state.room?.symbols ?? '')].filter((sign) => /[A-Z0-9]/.test(sign)).join(''));
  const seats = useConsole((state) => state.seats);
  const here = seats.filter((seat) => seat.here && seat.inside && seat.way === 'typing');
  const enough = known.length >= 3 && here.length > 0;
  useEffect(() => {
    if (setup === null && enough) change({ stations: [], parts: Math.min(4, Math.max(FEWEST, here.length)), groups: 8, made_of: 'groups', chance: 0.15 });
  }, [enough]);
  if (setup === null) return html`<p class="help">A net needs three sounds that the class has met, and a learner who is here and types.</p>`;
  const chosen = /** @type {number[]} */ (setup.stations);
  const choose = (/** @type {number} */ seat) => (/** @type {boolean} */ on) => {
    const stations = on ? [...chosen, seat].slice(-MOST) : chosen.filter((one) => one !== seat);
    change({ ...setup, stations, parts: Math.max(Number(setup.parts), stations.length) });
  };
  return html`<div class="net-setup">
    <div class="compose-line">
      <label class="inline-field">Parts <select class="input" value=${setup.parts} onChange=${numbered((parts) => change({ ...setup, parts: Math.max(parts, chosen.length) }))}>
        ${[2, 3, 4, 5, MOST].map((n) => html`<option key=${n} value=${n}>${n}</option>`)}</select></label>
      <label class="inline-field">each of <select class="input" value=${setup.groups} onChange=${numbered((groups) => change({ ...setup, groups }))}>
        ${GROUPS.map((n) => html`<option key=${n} value=${n}>${n} ${setup.made_of === 'words' ? 'words' : 'groups'}</option>`)}</select></label>
      <label class="inline-field">made of <select class="input" value=${setup.made_of} onChange=${typed((made) => change({ ...setup, made_of: made }))}>
        <option value="groups">five known sounds each</option><option value="words">words of known sounds</option></select></label>
      <label class="inline-field">The noise takes <select class="input" value=${setup.chance} onChange=${numbered((chance) => change({ ...setup, chance }))}>
        ${CHANCES.map(([share, words]) => html`<option key=${share} value=${share}>${words}</option>`)}</select></label>
    </div>
    <fieldset class="net-stations"><legend>Stations: ${chosen.length === 0 ? 'drawn from those here' : `${chosen.length} chosen`}</legend>
      ${here.map(({ seat, name }) => html`<label key=${seat}><input type="checkbox" checked=${chosen.includes(seat)} onChange=${ticked(choose(seat))} /> ${name}</label>`)}
    </fieldset>
    <p class="help">A part more than there are stations is held by the server. All others copy along. Practice only: transmitting needs a licence.</p>
  </div>`;
}
