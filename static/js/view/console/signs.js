/** Signs as people read them: a joined signal as its letters under an overline. */
import { html } from '../../../vendor/preact.js';
import { symbolOf } from '../../core/alphabet.js';
import { Sign } from '../parts/sign.js';

/** A text in its groups. @param {{ text: string }} props */
export function SentText({ text }) {
  return html`<span class="sent-text">
    ${text.split(' ').map((group) => html`<span class="group">
      ${[...group].map((sign) => html`<${Sign} sign=${sign} />`)}
    </span>${' '}`)}
  </span>`;
}

/** A few signs, each a thing of its own. @param {{ signs: string }} props */
export function SignList({ signs }) {
  return html`<span class="sign-list">${[...signs].map((sign) => html`<${Sign} sign=${sign} />${' '}`)}</span>`;
}

/** A sign in a sentence, as plain text. @param {string} sign */
export function plainly(sign) {
  const symbol = symbolOf(sign);
  return symbol?.kind === 'signal' ? symbol.joined : sign;
}
