/** Rooms: the ones kept on this computer, a new one, and the end of this one with all it holds. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { Dialog } from './dialog.js';
import { useConsole, useDesk } from './desk.js';

/** @typedef {import('./desk.js').RoomEntry} RoomEntry */

export function RoomsDialog() {
  const { api, dispatch, goToRoom } = useDesk();
  const code = useConsole((state) => state.room?.code ?? '');
  const [rooms, setRooms] = useState(/** @type {RoomEntry[] | null} */ (null));
  const [keepDays, setKeepDays] = useState(0);
  const complain = (/** @type {Error} */ fault) => dispatch({ type: 'noticed', sentence: fault.message });
  useEffect(() => {
    api.rooms().then(setRooms, complain);
    api.about().then((about) => setKeepDays(about.keep_days), complain);
  }, []);
  const openNew = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    const title = new FormData(/** @type {HTMLFormElement} */ (event.target)).get('title')?.toString().trim() ?? '';
    if (title !== '') api.openRoom(title).then((opened) => goToRoom(opened.code), complain);
  };
  return html`<${Dialog} title="Rooms">
    <form class="field" onSubmit=${openNew}>
      <label for="room-title-new">Open a new room</label>
      <div class="one-line">
        <input id="room-title-new" class="input" name="title" maxlength="60" placeholder="Title of the class" required />
        <button type="submit" class="button">Open it</button>
      </div>
      <p class="help">It gets a code of its own and starts empty.</p>
    </form>
    ${rooms !== null && html`<ul role="list" class="room-list">
      ${rooms.map((room) => html`<li key=${room.code}>
        <span><strong>${room.title}</strong> <span class="sign soft">${room.code}</span><br />
          <span class="soft">opened ${dateOf(room.opened)}, ${room.seats} ${room.seats === 1 ? 'seat' : 'seats'}</span></span>
        ${room.code === code ? html`<span class="soft">this one</span>` : html`<button type="button" class="button" data-size="small"
          aria-label=${`Go to ${room.title}, ${room.code}`} onClick=${() => goToRoom(room.code)}>Go there</button>`}
      </li>`)}
    </ul>`}
    <p class="help">${keepDays > 0 ? `A room and all it holds is kept on this computer for ${keepDays} days after its last use, and erased when the server next starts.`
      : 'A room and all it holds stays on this computer until you erase it.'}</p>
    <${Erase} onFault=${complain} />
  <//>`;
}

/** @param {string} opened */
function dateOf(opened) {
  const date = new Date(opened);
  return Number.isNaN(date.getTime()) ? opened : date.toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
}

/** @param {{ onFault: (fault: Error) => void }} props */
function Erase({ onFault }) {
  const { api, goToRoom } = useDesk();
  const code = useConsole((state) => state.room?.code ?? '');
  const title = useConsole((state) => state.room?.title ?? '');
  const [sure, setSure] = useState(false);
  if (!sure) {
    return html`<div><button type="button" class="button" onClick=${() => setSure(true)}>Erase this room …</button></div>`;
  }
  return html`<div class="erase" role="alert">
    <p><strong>Erase ${title} and all it holds?</strong> Every seat, run and copy of it goes, for good. Learners in it lose their places.</p>
    <div class="actions">
      <button type="button" class="button" onClick=${() => setSure(false)}>Keep it</button>
      <button type="button" class="button" data-danger="" onClick=${() => api.eraseRoom(code).then(() => goToRoom(''), onFault)}>
        Erase ${code} for good</button>
    </div>
  </div>`;
}
