/** A question or an answer keyed by hand: the pad, with what its station has beside it. */
import { html } from '../../../vendor/preact.js';
import { AtKey } from '../by_hand/sender.js';
import { Rows } from './rows.js';

/** @import { AtKeyOut, NetForLearner } from '../../wire.js' */
/** @import { Send } from '../../core/messages.js' */

/** @param {{ shown: NetForLearner, at: AtKeyOut, run: number, send?: Send, roomMs: () => number }} props */
export function Keying({ shown, at, run, send = () => false, roomMs }) {
  const { turn, hand } = shown;
  const answers = hand?.answers === true && turn !== null;
  const beside = html`${answers && html`<div class="net-draft sheet"><p class="net-line sign">${turn.text}</p><p class="soft">${turn.said}, in your part</p></div>`}
    <${Rows} shown=${shown} only=${answers ? [turn.to] : undefined} />`;
  const back = html`<button type="button" class="button" data-kind="bare" onClick=${() => send('leave_net_key', {})}>Give the key back</button>`;
  return html`<${AtKey} at=${at} run=${run} send=${send} roomMs=${roomMs} order=${answers ? 'Key exactly that' : 'Key your question'} instead=${beside} foot=${back}
    done=${answers ? 'That is my answer' : 'That is my question'} />`;
}

/** What was keyed could not be read surely. @param {{ text: string }} props  as it was read */
export const Unclear = ({ text }) => text !== '' && html`<p class="net-unclear" role="status">Your hand was read as <span class="sign">${text}</span>, and not surely:
  nothing came of it. Key it again, each gap in its place, or compose it.</p>`;
