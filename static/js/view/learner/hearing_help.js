/** What may help when nothing is heard, beside the call for help that the instructor sees. */
import { html } from '../../../vendor/preact.js';
import { Dialog } from '../parts/dialog.js';
import { useClassSounds, useLearner, usePage } from './context.js';
import { Volume } from './settings_fields.js';

export function HearingHelp() {
  const seen = useLearner((state) => state.askedHelp);
  return html`
    <section class="sheet padded">
      <p role="status">${seen ? html`<b>Your instructor sees that you can’t hear.</b> Meanwhile, look at these:`
        : 'Look at these:'}</p>
      <ul class="quiet-list">
        <li>Is the device’s own volume up, and the silent switch off?</li>
        <li>Does the sound go to headphones or a loudspeaker that is elsewhere?</li>
        <li>Is this tab muted? A crossed-out loudspeaker on the tab says so.</li>
        <li>On a telephone call, or in a video call? Those may take the sound away: end them, then tap here.</li>
      </ul>
    </section>`;
}

/** @param {{ onClose: () => void }} props */
export function HearingDialog({ onClose }) {
  const { actions } = usePage();
  const sounding = useLearner((state) => state.audio === 'running');
  const asked = useLearner((state) => state.askedHelp);
  const classSounds = useClassSounds();
  const hearNow = () => {
    actions.hearNow();
    onClose();
  };
  const test = async () => {
    if (await actions.unlock()) actions.test();
  };
  return html`
    <${Dialog} title="You can’t hear" onClose=${onClose}>
      <${HearingHelp} />
      <${Volume} />
      <button class="button" data-kind="primary" disabled=${sounding && classSounds} onClick=${test}>${sounding ? 'Play test tones' : 'Turn the sound on'}</button>
      ${asked && html`<button class="button" onClick=${hearNow}>I hear it now</button>`}
      <p class="help">While the class sounds, test tones keep quiet: you should hear the class itself.</p>
    <//>`;
}
