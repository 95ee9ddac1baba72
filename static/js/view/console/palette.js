/** All symbols as keys to be pressed down or up. */
import { html } from '../../../vendor/preact.js';
import { SYMBOLS } from '../../core/alphabet.js';
import { Sign, spoken } from '../parts/sign.js';

const GROUPS = /** @type {const} */ ([
  ['Letters', ['letter']], ['Figures', ['figure']], ['Marks', ['punctuation']], ['Joined signals', ['signal']],
]);

/** @param {{ chosen: string, known?: string, only?: string, onToggle: (sign: string) => void, label: string }} props */
export function Palette({ chosen, known = '', only, onToggle, label }) {
  return html`<div class="palette" role="group" aria-label=${label}>
    ${GROUPS.map(([name, kinds]) => {
      const symbols = SYMBOLS.filter((symbol) => kinds.some((kind) => kind === symbol.kind)
        && (only === undefined || only.includes(symbol.sign)));
      return symbols.length > 0 && html`<div class="palette-group" role="group" aria-label=${name} key=${name}>
        ${symbols.map(({ sign, name: words }) => html`<button type="button" class="key" key=${sign}
          aria-pressed=${chosen.includes(sign) ? 'true' : 'false'} data-known=${known.includes(sign) ? '' : undefined}
          aria-label=${spoken(sign)} title=${words} onClick=${() => onToggle(sign)}><${Sign} sign=${sign} /></button>`)}
      </div>`;
    })}
  </div>`;
}

/** @param {string} signs @param {string} sign */
export function toggled(signs, sign) {
  return signs.includes(sign) ? signs.replace(sign, '') : signs + sign;
}
