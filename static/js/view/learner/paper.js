/** A run on paper: write while it sounds, key the sheet in afterwards. */
import { html, useRef, useState } from '../../../vendor/preact.js';
import { readSheet } from '../../core/copy.js';
import { sheetText } from '../../core/learner_state.js';
import { clockFace, isSoundOver, lastEndRoomMs, secondsLeft } from '../../core/moment.js';
import { practiceNote } from '../../core/purposes.js';
import { Icon } from '../parts/icons.js';
import { typed } from '../parts/fields.js';
import { useLearner, useMoment, usePage, usePhase, useSettings } from './context.js';
import { Keys } from './keys.js';
import { Lamp } from './lamp.js';

export function Paper() {
  const closed = useLearner((state) => state.closed);
  const phase = usePhase();
  const handedIn = useLearner((state) => state.handedIn);
  if (!isSoundOver(phase)) return html`<${Listening} phase=${phase} />`;
  return handedIn ? html`<${HandedIn} />` : html`<${Entry} closed=${closed} />`;
}

/** @param {{ phase: import('../../core/moment.js').Phase }} props */
function Listening({ phase }) {
  const lamp = useSettings((settings) => settings.lamp);
  const title = useMoment((run, roomMs) => {
    const inSeconds = secondsLeft(run.start_room_ms - roomMs);
    return phase === 'counting in' && inSeconds > 0 ? `It starts in ${inSeconds}` : 'Write on paper';
  }, 'Write on paper');
  const practice = useLearner((state) => practiceNote(state.push?.purpose));
  const left = useMoment((run, roomMs) => clockFace(lastEndRoomMs(run) - roomMs), '');
  return html`
    <main class="meeting">
      <${Icon} of="pencil" />
      <h1>${phase === 'paused' ? 'Paused' : title}</h1>
      <p>Every sound gets its place. A missed one gets a line, like <b class="sign">_</b>, and on you go.</p>
      ${practice !== '' && html`<p class="soft">${practice}</p>`}
      <p class="soft">${phase === 'sounding' ? `about ${left} to go` : ''}</p>
      ${lamp && html`<${Lamp} />`}
    </main>`;
}

/** @param {{ closed: boolean }} props */
function Entry({ closed }) {
  const { store, actions } = usePage();
  const field = useRef(/** @type {HTMLTextAreaElement | null} */ (null));
  const [text, setText] = useState(() => sheetText(store.get()));
  const symbols = useLearner((state) => state.push?.symbols ?? '');
  const { signs, unknown } = readSheet(text);
  const change = (/** @type {string} */ next) => {
    setText(next);
    actions.writeSheet(readSheet(next).signs);
  };
  const press = (/** @type {string} */ sign) => {
    const at = field.current?.selectionStart ?? text.length;
    const to = field.current?.selectionEnd ?? at;
    change(text.slice(0, at) + sign + text.slice(to));
    requestAnimationFrame(() => field.current?.setSelectionRange(at + 1, at + 1));
  };
  return html`
    <main class="writing">
      <div class="writing-head"><div>
        <h1><label for="entry">Key your sheet in</label></h1>
        <p class="soft" id="entry-help">${closed
          ? 'The run is closed. What you key in still counts until the copies are shown.'
          : 'As it stands on your paper; _ for a blank. Spaces and new lines do not matter.'}</p>
      </div></div>
      <textarea id="entry" class="sheet lines entry" ref=${field} value=${text} spellcheck=${false} autocomplete="off"
        autocapitalize="characters" autocorrect="off" aria-describedby="entry-help entry-count"
        aria-invalid=${unknown.length > 0} onInput=${typed(change)}></textarea>
      <div class="entry-foot">
        <p id="entry-count" role="status">
          <span class="soft">${signs.length === 1 ? '1 mark' : `${signs.length} marks`}</span>
          ${unknown.length > 0 && html` <span class="alert">${unknown.join(' ')} ${unknown.length === 1 ? 'is' : 'are'} not
            in the code and left out</span>`}
        </p>
        <button class="button" data-kind="primary" disabled=${signs.length === 0} onClick=${actions.handIn}>Hand in</button>
      </div>
      <div class="keyboard"><${Keys} symbols=${symbols} onPress=${press} /></div>
    </main>`;
}

function HandedIn() {
  const { actions } = usePage();
  return html`
    <main class="middle"><section class="notice" role="status">
      <h1>Handed in</h1>
      <p>You will see your copy beside what was sent when your instructor shows the copies.</p>
      <button class="button" onClick=${actions.takeBack}>Change something</button>
    </section></main>`;
}
