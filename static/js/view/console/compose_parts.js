/** The composer's two ways to say what is to be sent: symbols to choose from, or a text of one's own. */
import { html, useRef } from '../../../vendor/preact.js';
import { SYMBOLS, inTableOrder } from '../../core/alphabet.js';
import { takesOne } from '../../core/purposes.js';
import { typed } from '../parts/fields.js';
import { useConsole } from './desk.js';
import { Palette, toggled } from './palette.js';

/** @import { Draft } from '../../core/console_state.js' */
/** @typedef {(part: Partial<Draft>) => void} Change */
/** @typedef {{ draft: Draft, change: Change }} Props */

const OVERLINE = '\u0305';

/** @param {Props} props */
export function Symbols({ draft, change }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const { purpose, symbols } = draft;
  const choose = (/** @type {string} */ sign) =>
    change({ symbols: takesOne(purpose) ? (symbols === sign ? '' : sign) : toggled(symbols, sign) });
  const sorted = inTableOrder(symbols);
  return html`<div class="symbols">
    <div class="symbols-head">
      <span class="label">${takesOne(purpose) ? 'Sound' : `Sounds in play${sorted.length > 0 ? `: ${sorted.length}` : ''}`}</span>
      <span class="help">${known === '' ? 'Dots will mark the known ones.' : 'A dot marks the known ones.'}</span>
      ${!takesOne(purpose) && html`<span class="symbols-set">
        <button type="button" class="button" data-kind="bare" data-size="small" disabled=${known === ''}
          onClick=${() => change({ symbols: known })}>All known</button>
        <button type="button" class="button" data-kind="bare" data-size="small" disabled=${symbols === ''}
          onClick=${() => change({ symbols: '' })}>None</button>
      </span>`}
    </div>
    <${Palette} label="Sounds in play" chosen=${symbols} known=${known} onToggle=${choose} />
  </div>`;
}

/** @param {Props} props */
export function OwnText({ draft, change }) {
  const hasAdditions = useConsole((state) => state.room?.additions ?? false);
  const ref = useRef(/** @type {HTMLTextAreaElement | null} */ (null));
  const put = (/** @type {string} */ joined) => {
    const area = ref.current;
    if (area === null) return;
    const signs = [...joined].map((letter) => letter + OVERLINE).join('');
    const text = draft.text.slice(0, area.selectionStart) + signs + draft.text.slice(area.selectionEnd);
    change({ text });
    area.focus();
  };
  return html`<div class="field">
    <label for="own-text">Text</label>
    <textarea id="own-text" class="input" data-for="signs" rows="3" maxlength="4000" ref=${ref} value=${draft.text}
      spellcheck=${false} autocapitalize="characters"
      onInput=${typed((text) => change({ text }))}></textarea>
    <div class="joined-keys" role="group" aria-label="Put in a joined signal">
      <span class="help">Joined signals:</span>
      ${SYMBOLS.filter(({ joined, added }) => joined !== '' && (hasAdditions || added === undefined)).map(({ sign, joined, name }) => html`<button type="button"
        class="key" key=${sign} title=${name} aria-label=${`${joined}, ${name}`} onClick=${() => put(joined)}>
        <span class="sign joined">${joined}</span></button>`)}
    </div>
  </div>`;
}
