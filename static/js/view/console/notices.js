/** What was refused or went wrong, and the state of the connection, in sentences. */
import { html } from '../../../vendor/preact.js';
import { useLater } from '../parts/use_store.js';
import { useConsole, useDesk } from './desk.js';

const STAYS_MS = 8000;

export function Notices() {
  const notices = useConsole((state) => state.notices);
  return html`<div class="notices" role="status" aria-live="polite">
    ${notices.map((notice) => html`<${Notice} key=${notice.id} notice=${notice} />`)}
  </div>`;
}

/** @param {{ notice: { id: number, sentence: string } }} props */
function Notice({ notice }) {
  const { dispatch } = useDesk();
  const dismiss = () => dispatch({ type: 'dismissed', id: notice.id });
  useLater(dismiss, STAYS_MS, []);
  return html`<div class="notice">
    <span>${notice.sentence}</span>
    <button type="button" class="button" data-kind="bare" data-size="small" onClick=${dismiss}>Dismiss</button>
  </div>`;
}

export function Banners() {
  const connection = useConsole((state) => state.connection);
  const { sound, send } = useDesk();
  const shut = useConsole((state) => state.room?.shut ?? '');
  const size = useConsole((state) => state.room?.class_size ?? 0);
  useConsole((state) => state.soundTold);
  const { isLoudspeaker, running } = sound.status();
  return html`
    ${connection === 'lost' && html`<div class="banner" data-is="alert" role="alert">
      <span><strong>The connection is lost.</strong> It comes back by itself. Sound on its way goes on; what learners write is kept on their devices.</span>
    </div>`}
    ${shut === 'full' && html`<div class="banner" data-is="alert" role="alert">
      <span><strong>${size} are in, as many as you expected: the door is shut for newcomers.</strong> Who has a seat comes in as ever.
        If strangers came, remove the first of them, and with it all who came after.</span>
      <button type="button" class="button" data-size="small" onClick=${() => send('shut_door', { on: false })}>Open it for some more</button>
    </div>`}
    ${isLoudspeaker && !running && html`<div class="banner" data-is="alert" role="alert">
      <span><strong>This computer is the class’s loudspeaker,</strong> and its sound is not on.</span>
      <button type="button" class="button" data-size="small" onClick=${() => sound.unlock()}>Turn the sound on</button>
    </div>`}`;
}
