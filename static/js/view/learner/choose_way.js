/** Type while listening, or pencil and paper. */
import { html } from '../../../vendor/preact.js';
import { Icon } from '../parts/icons.js';
import { usePage } from './context.js';

export function ChooseWay() {
  const { actions } = usePage();
  return html`
    <main class="column">
      <h1>How will you write?</h1>
      <button class="button way" onClick=${() => actions.chooseWay('typing')}>
        <${Icon} of="type" />
        <span><b>Type while listening</b><small>with keys on this page, or on a keyboard</small></span>
      </button>
      <button class="button way" onClick=${() => actions.chooseWay('paper')}>
        <${Icon} of="pencil" />
        <span><b>Pencil and paper</b><small>you key your sheet in when the sound is over</small></span>
      </button>
      <p class="soft">Both are real copying. You can change it between runs.</p>
    </main>`;
}
