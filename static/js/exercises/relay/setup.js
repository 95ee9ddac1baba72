/** A relay as it is set up: what travels, along whom, and by whose hand. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { useConsole } from '../../view/console/desk.js';
import { Choice } from '../../view/parts/choice.js';
import { numbered, ticked, typed } from '../../view/parts/fields.js';

/** @import { SeatOut } from '../../wire.js' */
/** @import { Setup } from '../../view/parts/exercise.js' */

const WHAT = /** @type {const} */ ([['groups', 'groups'], ['words', 'words'], ['message', 'practice message'], ['own', 'a text of your own']]);
const LENGTHS = [10, 15, 20, 25, 30, 40];
/** @typedef {{ what: 'groups' | 'words' | 'message' | 'own', text: string, sounds: number, left_out: number[], parallel: number, names: boolean, by_hand: boolean, no_key: number[], turn_s: number }} Chosen */

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function RelaySetUp({ setup, change }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const hearing = useConsole((state) => state.room?.hearing);
  const seats = useConsole((state) => state.seats);
  const [chosen, setChosen] = useState(/** @type {Chosen} */ ({ what: known === '' ? 'own' : 'groups', text: '', sounds: 20, left_out: [], parallel: 0, names: false, by_hand: false, no_key: [], turn_s: 180, ...setup }));
  const ready = chosen.what === 'own' ? chosen.text.trim() !== '' : known !== '';
  useEffect(() => change(ready ? { ...chosen } : null), [chosen, ready]);
  const put = (/** @type {Partial<Chosen>} */ part) => setChosen({ ...chosen, ...part });
  const players = seats.filter(({ here, inside, device }) => here && inside && device);
  const count = players.filter(({ seat }) => !chosen.left_out.includes(seat)).length;
  return html`<div class="relay-setup">
    <${Choice} label="The message" shown=${true} value=${chosen.what} options=${WHAT} onChoose=${(/** @type {Chosen['what']} */ what) => put({ what })} />
    ${chosen.what === 'own' ? html`<label class="field"><span class="label">Text</span><input class="input" maxlength="120" value=${chosen.text} onInput=${typed((text) => put({ text }))} /></label>`
      : html`<label class="inline-field">about <select class="input" value=${chosen.sounds} onChange=${numbered((sounds) => put({ sounds }))}>
        ${LENGTHS.map((sounds) => html`<option key=${sounds} value=${sounds}>${sounds}</option>`)}</select> characters of the known sounds</label>`}
    <label class="inline-field">in <select class="input" value=${chosen.parallel} onChange=${numbered((parallel) => put({ parallel }))}>
      <option value="0">as many chains as let nobody wait long</option>
      ${Array.from({ length: Math.max(1, Math.floor(count / 2)) }, (_, i) => html`<option key=${i} value=${i + 1}>${i === 0 ? '1 chain' : `${i + 1} chains, all at once`}</option>`)}</select></label>
    <${Players} players=${players} leftOut=${chosen.left_out} put=${(/** @type {number[]} */ left_out) => put({ left_out })} />
    <${Hands} chosen=${chosen} players=${players.filter(({ seat }) => !chosen.left_out.includes(seat))} put=${put} />
    <label class="inline-field"><input type="checkbox" checked=${chosen.names} onChange=${ticked((names) => put({ names }))} /> Names beside the stations, on wall and phones too</label>
    <p class="help">${hearing === 'loudspeaker' ? 'One loudspeaker sounds for all now: a relay needs a page that sounds for each.' : 'Each version sounds at one page alone: headphones, or everybody at home.'}
      ${count < 2 ? ' Two learners with a device are needed.' : ''}</p>
  </div>`;
}

/** Who is in it; the order is drawn. @param {{ players: readonly SeatOut[], leftOut: number[], put: (seats: number[]) => void }} props */
function Players({ players, leftOut, put }) {
  const toggle = (/** @type {number} */ seat) => put(leftOut.includes(seat) ? leftOut.filter((other) => other !== seat) : [...leftOut, seat]);
  return html`<fieldset class="field"><legend class="label">Who takes part, in an order that is drawn</legend>
    <div class="relay-players">${players.map(({ seat, name }) => html`<label key=${seat}><input type="checkbox" checked=${!leftOut.includes(seat)} onChange=${() => toggle(seat)} /> ${name}</label>`)}</div>
  </fieldset>`;
}

const SENT = /** @type {const} */ ([['machine', 'by the machine'], ['hand', 'by hand']]);
const TURNS = [60, 120, 180, 300, 600];

/** Who sends: the machine from what each wrote, or each by hand. @param {{ chosen: Chosen, players: readonly SeatOut[], put: (part: Partial<Chosen>) => void }} props */
function Hands({ chosen, players, put }) {
  const { no_key: without } = chosen;
  const toggle = (/** @type {number} */ seat) => put({ no_key: without.includes(seat) ? without.filter((other) => other !== seat) : [...without, seat] });
  return html`<${Choice} label="What each has is sent on" shown=${true} value=${chosen.by_hand ? 'hand' : 'machine'} options=${SENT} onChoose=${(/** @type {string} */ way) => put({ by_hand: way === 'hand' })} />
    ${chosen.by_hand && html`<fieldset class="field"><legend class="label">Who keys; for the others the machine sends what they wrote</legend>
        <div class="relay-players">${players.map(({ seat, name }) => html`<label key=${seat}><input type="checkbox" checked=${!without.includes(seat)} onChange=${() => toggle(seat)} /> ${name}</label>`)}</div></fieldset>
      <label class="inline-field">At the key for at most <select class="input" value=${chosen.turn_s} onChange=${numbered((turn_s) => put({ turn_s }))}>
        ${TURNS.map((seconds) => html`<option key=${seconds} value=${seconds}>${seconds / 60} min</option>`)}</select></label>
      <p class="help">The space bar, the screen, two keys or an own key. What was really keyed stands in the table, too. A key can be given up at any time.</p>`}`;
}
