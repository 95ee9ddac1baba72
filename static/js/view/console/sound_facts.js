/** How the class's sound is set, in one line, with the way to change it. */
import { html } from '../../../vendor/preact.js';
import { useConsole, useDialog } from './desk.js';

export function SoundFacts() {
  const sound = useConsole((state) => state.room?.sound);
  const open = useDialog();
  if (!sound) return null;
  return html`<span class="sound-facts">
    <span class="soft">${sound.wpm} wpm, overall ${sound.overall_wpm}, ${sound.pitch_hz} Hz</span>
    <button type="button" class="button" data-kind="bare" data-size="small" aria-label="Sound settings"
      onClick=${() => open('sound')}>Sound …</button>
  </span>`;
}
