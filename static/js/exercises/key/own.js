/** The sender's page in turns at the key: their text, or what they say beforehand. */
import { html } from '../../../vendor/preact.js';
import { submitted } from '../../view/parts/fields.js';
import { AtKey } from '../by_hand/sender.js';

/** @import { KeyForLearner } from '../../wire.js' */
/** @import { Send } from '../../core/messages.js' */

/** @param {{ shown: KeyForLearner, run: number, send: Send, roomMs: () => number }} props */
export function Sender({ shown, run, send, roomMs }) {
  const { turn, start_room_ms, ends_room_ms, delay_ms, paused, late } = shown.now;
  const at = { turn, start_room_ms, ends_room_ms, delay_ms, paused, late, kept: shown.kept, text: shown.text };
  return html`<${AtKey} at=${at} run=${run} send=${send} roomMs=${roomMs} hasAgain=${true}
    order=${shown.says ? 'Send something of your own' : 'Send this'} instead=${shown.says ? html`<${SayIt} shown=${shown} send=${send} />` : undefined} />`;
}

/** @param {{ shown: KeyForLearner, send: Send }} props */
function SayIt({ shown, send }) {
  const say = submitted((field) => send('say_text', { turn: shown.now.turn, text: field('text') }));
  return html`<form class="key-say" onSubmit=${say}>
    <label class="field"><span class="label">${shown.text === '' ? 'Say first what you will send' : `You will send: ${shown.text}`}</span>
      <input class="input" name="text" maxlength="200" autocomplete="off" autocapitalize="characters" /></label>
    <button class="button" type="submit">That is it</button>
  </form>`;
}
