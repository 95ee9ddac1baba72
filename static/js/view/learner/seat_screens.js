/** Screens about the seat alone: at the door, gone, held by another tab. */
import { html } from '../../../vendor/preact.js';
import { useLearner, usePage } from './context.js';

export function AtTheDoor() {
  const name = useLearner((state) => state.seat?.name ?? '');
  return html`
    <main class="middle">
      <section class="notice" role="status">
        <h1>Hello, ${name}</h1>
        <p>Your instructor will let you in. Keep this page open.</p>
      </section>
    </main>`;
}

export function Gone() {
  const { actions } = usePage();
  const sentence = useLearner((state) => state.gone);
  return html`
    <main class="middle">
      <section class="notice">
        <h1>This seat is gone</h1>
        <p>${sentence}</p>
        <button class="button" onClick=${actions.joinAgain}>Join again</button>
      </section>
    </main>`;
}

export function Elsewhere() {
  const { actions } = usePage();
  return html`
    <main class="middle">
      <section class="notice">
        <h1>Your seat is open in another tab</h1>
        <p>One seat sounds and writes on one page at a time.</p>
        <button class="button" data-kind="primary" data-size="wide" onClick=${actions.takeOver}>Use this page</button>
        <button class="button" data-size="wide" onClick=${actions.joinAsAnother}>Join as somebody else</button>
      </section>
    </main>`;
}
