/** The words put together sign by sign, on the keys of the symbols: for whoever has no key, and would not tap. */
import { html, useState } from '../../../vendor/preact.js';
import { inTableOrder } from '../../core/alphabet.js';
import { typed } from '../../view/parts/fields.js';
import { Sign, spoken } from '../../view/parts/sign.js';

/** Of the procedure's own words. */
const SIGNS = '?ABDEGKNPRTW';

/**
 * @param {{ label: string, signs: string, said: (text: string) => string, busy: boolean, onSend: (text: string) => void, onBack: () => void }} props
 */
export function Typed({ label, signs, said, busy, onSend, onBack }) {
  const [text, setText] = useState('');
  const keys = inTableOrder([...new Set(SIGNS + signs)].join(''));
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    if (text.trim() !== '' && !busy) onSend(text.trim());
  };
  return html`<form class="net-hand" onSubmit=${submit}>
    <label class="field"><span class="label">${label}</span><input class="input" data-for="signs" maxlength="160" autocomplete="off" autocapitalize="characters"
      spellcheck=${false} inputmode="none" value=${text} onInput=${typed((value) => setText(value.toUpperCase()))} /></label>
    <p class="soft" aria-live="polite">${text.trim() === '' ? 'Your call, theirs, DE, and K are yours to type.' : said(text)}</p>
    <div class="net-keys" role="group" aria-label="Symbols">
      ${keys.map((sign) => html`<button type="button" class="key" key=${sign} aria-label=${spoken(sign)} onClick=${() => setText(text + sign)}><${Sign} sign=${sign} /></button>`)}
      <button type="button" class="key" data-wide="" onClick=${() => setText(`${text.trimEnd()} `)}>space</button>
      <button type="button" class="key" data-wide="" onClick=${() => setText(text.slice(0, -1))}>erase</button>
    </div>
    <div class="net-send"><button type="button" class="button" onClick=${onBack}>Compose it</button>
      <button type="submit" class="button" data-kind="primary" disabled=${busy || text.trim() === ''}>Send it</button></div>
  </form>`;
}
