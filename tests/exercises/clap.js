/** The tiny exercise's views: what a learner, the console and the wall see of it. */
import { html } from '../../vendor/preact.js';
import { TurnStrip } from '../view/parts/turns.js';

export function Learner({ shown, send }) {
  if (shown.hears) return html`<main><h1>Listen</h1><p>The others clap.</p></main>`;
  const places = [{ is: 'key', word: 'hears', who: 'somebody' }, { is: 'sheet', word: 'claps', who: '', own: !shown.clapped }];
  return html`<main><${TurnStrip} places=${places} /><h1>${shown.clapped ? 'You clapped' : 'Clap'}</h1>
    ${!shown.clapped && html`<button type="button" class="button" onClick=${() => send('clap', {})}>Clap now</button>`}
  </main>`;
}

export function Console({ shown }) {
  return html`<section class="sheet"><h2>Clapping</h2><p>${shown.clapped} clapped${shown.over ? ', and it is over' : ''}</p></section>`;
}

export function Wall({ shown }) {
  return html`<main class="wall"><header><h1>${shown.clapped} have clapped</h1></header></main>`;
}
