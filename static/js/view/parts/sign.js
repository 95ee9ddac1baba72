/** One symbol as it is shown: a printed sign, or the letters of a joined signal under an overline. */
import { html } from '../../../vendor/preact.js';
import { symbolOf } from '../../core/alphabet.js';

/** Signals without a printed mark of their own; the others are shown by their mark. @param {string} sign */
function isJoined(sign) {
  return symbolOf(sign)?.kind === 'signal';
}

/** @param {string} sign @returns {string} what a screen reader is to say */
export function spoken(sign) {
  if (sign === '_') return 'blank';
  const symbol = symbolOf(sign);
  if (symbol === undefined || symbol.kind === 'figure') return sign;
  if (symbol.kind === 'letter') return symbol.sign > 'Z' ? symbol.name : sign;
  return symbol.joined ? `${symbol.name}, ${symbol.joined}` : symbol.name;
}

/**
 * @param {{ sign: string, also?: boolean }} props
 *   also: beside a mark, the letters of the joined signal that sounds the same, small
 */
export function Sign({ sign, also = false }) {
  const joined = symbolOf(sign)?.joined ?? '';
  if (sign === '_') return html`<span class="sign blank-mark" aria-hidden="true"></span>`;
  if (isJoined(sign)) return html`<span class="sign joined">${joined}</span>`;
  if (!also || joined === '') return html`<span class="sign">${sign}</span>`;
  return html`<span class="sign">${sign}<small class="joined also">${joined}</small></span>`;
}
