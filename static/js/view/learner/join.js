/** The way in: a code and a nickname; or the wait for the old seat. */
import { html, useEffect, useRef, useState } from '../../../vendor/preact.js';
import { submitted, typed } from '../parts/fields.js';
import { useLearner, usePage } from './context.js';

export function Join() {
  const { actions } = usePage();
  const asking = useLearner((state) => state.asking);
  const connection = useLearner((state) => state.connection);
  const refusal = useLearner((state) => state.word.sentence);
  const firstCode = useLearner((state) => state.code);
  const [code, setCode] = useState(firstCode);
  const [name, setName] = useState('');
  const nameField = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => {
    if (firstCode !== '') nameField.current?.focus();
  }, []);

  if (asking === 'returning') return html`<main class="middle"><div role="status"><h1>Back to your seat …</h1></div></main>`;
  return html`
    <main class="middle">
      <form class="blank-form sheet" onSubmit=${submitted(() => actions.join(code.trim().toUpperCase(), name.trim()))}>
        <header>
          <p class="wordmark">Copyroom</p>
          <h1>Join the class</h1>
        </header>
        <div class="field">
          <label for="code">Room</label>
          <input id="code" class="input" data-for="signs" value=${code} required maxlength="24" autocomplete="off"
            autocapitalize="characters" spellcheck=${false} placeholder="on the wall, or from your instructor"
            onInput=${typed(setCode)} />
        </div>
        <div class="field">
          <label for="name">Nickname or seat number</label>
          <input id="name" class="input" ref=${nameField} value=${name} required maxlength="24" autocomplete="off"
            spellcheck=${false} aria-describedby="privacy"
            onInput=${typed(setName)} />
        </div>
        <p class="alert" role="alert">${refusal}</p>
        <button class="button" data-kind="primary" data-size="wide" disabled=${connection !== 'connected'}>
          ${asking === 'joining' ? 'Asking …' : 'Join'}
        </button>
        <p class="help" id="privacy">A nickname is all this page wants of you: no account, no full name, and your
          instructor can erase it after class.</p>
      </form>
    </main>`;
}
