/** The console's head: which class, how to join, how the class's sound stands, and where else to look. */
import { html, useState } from '../../../vendor/preact.js';
import { SOUND_CHECK } from '../../core/console_state.js';
import { isClosed } from '../../core/moment.js';
import { callForHelp, soundStatus } from '../../core/seat_news.js';
import { focusIt, selectAll, submitted, typed } from '../parts/fields.js';
import { useConsole, useDesk, useDialog } from './desk.js';

export function Header() {
  const code = useConsole((state) => state.room?.code ?? '');
  const open = useDialog();
  return html`<header class="top">
    <${Title} />
    <button type="button" class="button join-code" data-kind="bare" onClick=${() => open('join')}>
      <span class="soft">join with</span> <span class="sign code">${code}</span>
    </button>
    <${Status} />
    <nav class="places" aria-label="Console">
      <a class="button" data-size="small" href=${`/wall?room=${encodeURIComponent(code)}`} target="_blank">Wall</a>
      <button type="button" class="button" data-size="small" onClick=${() => open('rooms')}>Rooms</button>
      <button type="button" class="button" data-size="small" onClick=${() => open('help')}>Help</button>
    </nav>
  </header>`;
}

function Title() {
  const title = useConsole((state) => state.room?.title ?? '');
  const { send } = useDesk();
  const [editing, setEditing] = useState(false);
  if (!editing) {
    return html`<h1 class="class-title">
      <button type="button" class="button" data-kind="bare" title="Change the title" onClick=${() => setEditing(true)}>
        ${title}<span class="unseen">, change the title</span>
      </button>
    </h1>`;
  }
  const keep = (/** @type {string} */ wanted) => {
    setEditing(false);
    if (wanted.trim() !== '' && wanted !== title) send('set_title', { title: wanted });
  };
  return html`<h1 class="unseen">${title}</h1><form class="class-title" onSubmit=${submitted((field) => keep(field('title')))}>
    <input class="input" name="title" aria-label="Title of the class" maxlength="60" defaultValue=${title}
      onFocus=${selectAll}
      ref=${focusIt}
      onKeyDown=${(/** @type {KeyboardEvent} */ event) => event.key === 'Escape' && setEditing(false)}
      onBlur=${typed(keep)} />
  </form>`;
}

function Status() {
  const seats = useConsole((state) => state.seats);
  const hearing = useConsole((state) => state.room?.hearing ?? 'every');
  const source = useConsole((state) => state.room?.source ?? 0);
  const idle = useConsole((state) => state.run === null || isClosed(state.run.phase));
  const { send } = useDesk();
  const lost = useConsole((state) => state.connection !== 'connected');
  if (lost) {
    return html`<div class="status"><p role="status">
      <span class="dot" data-is="alert"></span>
      <span><strong class="urgent">not connected</strong>, this page shows what it last knew</span>
    </p></div>`;
  }
  const { here, words, good } = soundStatus(seats, { hearing, source });
  const help = callForHelp(seats);
  return html`<div class="status">
    <p role="status">
      <span class="dot" data-is=${help !== '' ? 'alert' : here === 0 ? '' : good ? 'done' : 'alert'}></span>
      <span>${help !== '' && html`<strong class="urgent">${help}</strong>; `}${here > 0 && html`<strong>${here} here</strong>, `}${words}</span>
    </p>
    ${here > 0 && idle && html`<button type="button" class="button" data-size="small" data-sends=""
      title="A few short sounds: does the whole room hear them as one?" onClick=${() => send('send_text', SOUND_CHECK)}>
      Sound check</button>`}
  </div>`;
}
