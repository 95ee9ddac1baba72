/** For a visitor without the console's link. */
import { html } from '../../../vendor/preact.js';

export function Stranger() {
  return html`<main class="waiting-page">
    <h1>This page is the instructor’s</h1>
    <p>Open it with the console link that the server printed when it was started: it ends in
      ${' '}<span class="sign">#</span>${' '}and a secret. The link is needed once; this browser then remembers it.</p>
    <p><a class="button" href="/">I am a learner</a></p>
  </main>`;
}
