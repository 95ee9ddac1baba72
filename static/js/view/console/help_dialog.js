/** Help: how an evening goes, the keys, and what to be careful about. */
import { html, useState } from '../../../vendor/preact.js';
import { escStops, setEscStops } from '../../shell/console_keys.js';
import { ticked } from '../parts/fields.js';
import { Dialog } from './dialog.js';

export function HelpDialog() {
  return html`<${Dialog} title="Help">
    <section><h3>An evening</h3>
      <ol class="quiet-list">
        <li>Learners scan the code, choose a nickname and turn their sound on. The right side says who is ready.</li>
        <li>Let them meet a new sound: <em>New sound</em>, by ear. It is not counted.</li>
        <li><em>Tell apart</em> what is alike, then <em>Mix</em> it with what is known. While it sounds you see who follows.</li>
        <li>Close the run, show it to the learners, and look at the table for what to drill next.</li>
      </ol></section>
    <section><h3>Keys</h3><${Keys} /></section>
    <section><h3>Take care</h3>
      <ul class="quiet-list">
        <li>Ears: start low. Headphones never at full loudness, and a pause now and then.</li>
        <li>Young people: nicknames only, two leaders present. This page may be open on two screens at once. There is no
          private channel between a leader and a learner.</li>
        <li>These tones are practice, not transmissions. To transmit on the air needs a licence. Practice calls are
          invented and may by accident belong to somebody: keep them in the room.</li>
      </ul></section>
  <//>`;
}

function Keys() {
  const [stops, setStops] = useState(escStops());
  const toggle = ticked((on) => {
    setEscStops(on);
    setStops(on);
  });
  return html`<dl class="keys">
      <dt><kbd class="kbd">Esc</kbd></dt><dd>stop the sound</dd>
      <dt><kbd class="kbd">Ctrl</kbd> <kbd class="kbd">Enter</kbd></dt><dd>the page’s main button: send, stop, go on, close, show</dd>
      <dt><kbd class="kbd">↑ ↓ ← →</kbd></dt><dd>walk in the table; <kbd class="kbd">Home</kbd> and <kbd class="kbd">End</kbd>: to the row’s ends</dd>
      <dt><kbd class="kbd">Enter</kbd></dt><dd>in the table: what is behind a figure</dd>
    </dl>
    <label class="switch"><input type="checkbox" checked=${stops} onChange=${toggle} /> Esc stops the sound</label>`;
}
