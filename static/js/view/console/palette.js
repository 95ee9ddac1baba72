/** All symbols as keys to be pressed down or up. */
import { html } from '../../../vendor/preact.js';
import { SYMBOLS } from '../../core/alphabet.js';
import { Sign, spoken } from '../parts/sign.js';
import { useConsole } from './desk.js';

const GROUPS = /** @type {const} */ ([
  ['Letters', ['letter'], false], ['Figures', ['figure'], false], ['Marks', ['punctuation'], false],
  ['Joined signals', ['signal'], false], ['Outside the recommendation', ['letter', 'signal'], true],
]);

/** @param {{ chosen: string, known?: string, only?: string, onToggle: (sign: string) => void, label: string }} props */
export function Palette({ chosen, known = '', only, onToggle, label }) {
  const hasAdditions = useConsole((state) => state.room?.additions ?? false);
  const isOffered = (/** @type {import('../../core/alphabet.js').SymbolInfo} */ { sign, added }) =>
    (added === undefined || hasAdditions || chosen.includes(sign)) && (only === undefined || only.includes(sign));
  return html`<div class="palette" role="group" aria-label=${label}>
    ${GROUPS.map(([name, kinds, added]) => {
      const symbols = SYMBOLS.filter((symbol) => kinds.some((kind) => kind === symbol.kind)
        && (symbol.added ?? false) === added && isOffered(symbol));
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
