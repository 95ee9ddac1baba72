/** Who sends, what, and for how long. */
import { html, useEffect } from '../../../vendor/preact.js';
import { clockFace } from '../../core/moment.js';
import { useConsole } from '../../view/console/desk.js';
import { Choice } from '../../view/parts/choice.js';
import { numbered, ticked, typed } from '../../view/parts/fields.js';

/** @import { KeySetup } from '../../wire.js' */
/** @import { Setup } from '../../view/parts/exercise.js' */

const TEXTS = /** @type {const} */ ([['groups', 'groups'], ['words', 'words'], ['given', 'my text'], ['said', 'their own']]);
/** @type {Record<KeySetup['text'], string>} */
const HINTS = {
  groups: 'Groups of five known sounds, drawn anew for each sender.', words: 'A few words of known sounds.',
  given: 'The same text for everybody.', said: 'Each says beforehand what it will be; only then hand and ear can be told apart.',
};
const LENGTHS = [60, 120, 180, 300];

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function KeySetUp({ setup, change }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const seats = useConsole((state) => state.seats).filter(({ device, here, inside }) => device && here && inside);
  useEffect(() => {
    if (setup === null) change({ senders: [], text: known === '' ? 'said' : 'groups', given: '', groups: 2, turn_s: 120, gap_s: 15 });
  }, []);
  if (setup === null) return null;
  const now = /** @type {KeySetup} */ (/** @type {unknown} */ (setup));
  const put = (/** @type {Partial<KeySetup>} */ part) => change({ ...setup, ...part });
  const chosen = now.senders.length === 0 ? seats.map(({ seat }) => seat) : now.senders;
  const turn = (/** @type {number} */ seat, /** @type {boolean} */ on) => put({ senders: on ? [...chosen, seat] : chosen.filter((other) => other !== seat) });
  return html`<div class="key-setup">
    <fieldset class="key-senders"><legend class="label">Who sends, in this order</legend>
      ${seats.length === 0 && html`<p class="help">Nobody with a device is here yet.</p>`}
      ${seats.map(({ seat, name }) => html`<label key=${seat}><input type="checkbox" checked=${chosen.includes(seat)}
        disabled=${chosen.length === 1 && chosen.includes(seat)} onChange=${ticked((on) => turn(seat, on))} /> ${chosen.includes(seat) ? `${chosen.indexOf(seat) + 1}. ` : ''}${name}</label>`)}
    </fieldset>
    <${Choice} label="What they send" shown value=${now.text} options=${known === '' ? TEXTS.slice(2) : TEXTS} onChoose=${(/** @type {KeySetup['text']} */ text) => put({ text })} />
    <p class="help">${HINTS[now.text]}</p>
    ${now.text === 'given' && html`<label class="field"><span class="label">Text</span>
      <input class="input" maxlength="400" value=${now.given} onInput=${typed((given) => put({ given }))} /></label>`}
    <div class="compose-line">
      ${(now.text === 'groups' || now.text === 'words') && html`<label class="inline-field">Each sends about <input class="input" type="number" min="1" max="10" value=${now.groups}
        onChange=${numbered((groups) => groups >= 1 && groups <= 10 && put({ groups }))} /> × 5 sounds</label>`}
      <label class="inline-field">A turn takes at most <select class="input" value=${now.turn_s} onChange=${numbered((turn_s) => put({ turn_s }))}>
        ${LENGTHS.map((seconds) => html`<option key=${seconds} value=${seconds}>${clockFace(seconds * 1000)}</option>`)}</select></label>
      <label class="inline-field">Then <input class="input" type="number" min="5" max="120" value=${now.gap_s}
        onChange=${numbered((gap_s) => gap_s >= 5 && gap_s <= 120 && put({ gap_s }))} /> s to look at it</label>
    </div>
  </div>`;
}
