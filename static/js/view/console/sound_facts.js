/** How the class's sound is set, in one line, and the way to change it or to listen in. */
import { html } from '../../../vendor/preact.js';
import { useConsole, useDialog } from './desk.js';

export function SoundFacts() {
  const sound = useConsole((state) => state.room?.sound);
  if (!sound) return null;
  return html`<span class="sound-facts">
    <span class="soft">${sound.wpm} wpm, overall ${sound.overall_wpm}, ${sound.pitch_hz} Hz</span>
    <${SoundButton} />
  </span>`;
}

export function SoundButton() {
  const open = useDialog();
  return html`<button type="button" class="button" data-kind="bare" data-size="small"
    onClick=${() => open('sound')}>Sound settings</button>`;
}
