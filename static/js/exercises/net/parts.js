/** What several pages of a net draw: a practice call, a question with its differing words marked, the net's figures. */
import { html } from '../../../vendor/preact.js';
import { wordsOf } from '../../core/procedure.js';
import { clockFace } from '../../core/moment.js';
import { costInWords, figuresInWords } from './words.js';

/** @import { NetExchange, NetFigures } from '../../wire.js' */

/** @param {{ call: string }} props */
export const PracticeCall = ({ call }) => html`<span class="net-call"><span class="sign">${call}</span> <span class="net-practice">practice call</span></span>`;

/** @param {{ text: string, marked?: readonly number[], is?: 'sent' | 'right' }} props */
export function Sent({ text, marked = [], is = 'sent' }) {
  return html`<span class="net-sent">${wordsOf(text).map((word, i) => html`${i > 0 && ' '}${marked.includes(i)
    ? html`<mark key=${i} class="net-mark" data-is=${is}>${word}</mark>` : html`<span key=${i}>${word}</span>`}`)}</span>`;
}

/** What was sent beside the right form. @param {{ exchanges: readonly NetExchange[] }} props */
export function Exchanges({ exchanges }) {
  if (exchanges.length === 0) return null;
  return html`<table class="net-exchanges">
    <thead><tr><th scope="col">from</th><th scope="col">was sent</th><th scope="col">the right form</th></tr></thead>
    <tbody>${exchanges.map((one, i) => html`<tr key=${exchanges.length - i}>
      <th scope="row" class="sign">${one.call}</th>
      <td><${Sent} text=${one.text} marked=${one.marked} />${one.fault !== '' && html`<small>${costInWords(one)}</small>`}</td>
      <td>${one.right !== '' ? html`<${Sent} text=${one.right} marked=${one.right_marked} is="right" />`
        : html`<span class="soft">${one.fault === '' ? 'as it should be' : 'nothing was missing there'}</span>`}</td>
    </tr>`)}</tbody>
  </table>`;
}

/** @param {{ figures: NetFigures }} props */
export function Figures({ figures }) {
  const lasted = figures.complete_room_ms - figures.start_room_ms;
  return html`<dl class="net-figures">
    ${figuresInWords(figures).map(([figure, words]) => html`<div key=${words}><dt>${words}</dt><dd>${figure}</dd></div>`)}
    ${figures.complete_room_ms > 0 && html`<div><dt>from the first sound to the last R</dt><dd>${clockFace(lasted)}</dd></div>`}
  </dl>`;
}
