/** What words are about: everything, one of our themes, or a list of the class's own, pasted and kept. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { inTableOrder } from '../../core/alphabet.js';
import { listFacts } from '../../core/word_list.js';
import { typed } from '../parts/fields.js';
import { useConsole, useDesk } from './desk.js';
import { SignList } from './signs.js';

/** @import { Draft } from '../../core/console_state.js' */
/** @typedef {Draft['about']} Theme */

/** @type {readonly (readonly [Theme, string])[]} */
const THEMES = Object.freeze([
  ['', 'Everything'], ['camp', 'Camp and trail'], ['radio', 'Radio'], ['map', 'Map and land'],
  ['weather', 'Weather'], ['boats', 'Boats'], ['own', 'The class’s own list'],
]);

/** @param {import('./compose_parts.js').Props} props */
export function About({ draft, change }) {
  return html`<label class="inline-field">Words about
    <select class="input" value=${draft.about} onChange=${typed((about) => change({ about: /** @type {Theme} */ (about) }))}>
      ${THEMES.map(([key, name]) => html`<option key=${key} value=${key}>${name}</option>`)}
    </select></label>`;
}

/** The list as it is kept, to be changed or pasted anew. */
export function OwnWords() {
  const kept = useConsole((state) => state.room?.own_words ?? '');
  const known = useConsole((state) => state.room?.symbols ?? '');
  const connected = useConsole((state) => state.connection === 'connected');
  const { send } = useDesk();
  const [written, setWritten] = useState(/** @type {string | null} */ (null));
  const text = written ?? kept;
  useEffect(() => setWritten(null), [kept]); // what is kept stands there as it was understood
  const keep = () => send('keep_words', { words: text });
  return html`<div class="field">
    <label for="own-words">The class’s own words</label>
    <textarea id="own-words" class="input" data-for="signs" rows="3" maxlength="4000" value=${text}
      aria-describedby="own-words-help" spellcheck=${false} autocapitalize="characters" onInput=${typed(setWritten)}></textarea>
    <p class="help" id="own-words-help">Paste words with spaces, commas or lines between them: 300 at most, up to 20 sounds in each.</p>
    <${Facts} words=${kept} known=${known} />
    <div class="actions">
      <button type="button" class="button" data-size="small" disabled=${!connected || text === kept} onClick=${keep}>Keep this list</button>
    </div>
  </div>`;
}

/** How many there are, and what they need that nobody has met. @param {{ words: string, known: string }} props */
function Facts({ words, known }) {
  const { count, able, unmet } = listFacts(words, known);
  if (count === 0) return html`<p class="help" role="status">No words are kept yet.</p>`;
  return html`<p class="help" role="status">${count} ${count === 1 ? 'word' : 'words'} kept; ${able} of known sounds alone.
    ${unmet !== '' && html` Not met yet: <${SignList} signs=${inTableOrder(unmet).join('')} />.`}</p>`;
}
