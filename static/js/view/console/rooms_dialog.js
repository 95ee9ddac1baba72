/** Rooms: the ones kept on this computer, a new one, and the end of this one with all it holds. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { submitted } from '../parts/fields.js';
import { Dialog } from './dialog.js';
import { useConsole, useDesk } from './desk.js';

/** @import { ComponentChildren } from '../../../vendor/preact/preact.js' */
/** @import { RoomEntry } from './desk.js' */

/** A room that nobody was told of before. */
const NOTICE_H = 24;

export function RoomsDialog() {
  const { api, dispatch, goToRoom } = useDesk();
  const code = useConsole((state) => state.room?.code ?? '');
  const [rooms, setRooms] = useState(/** @type {RoomEntry[] | null} */ (null));
  const [{ keep_days: keepDays, now }, setAbout] = useState({ keep_days: 0, now: '' });
  const [erased, setErased] = useState(0);
  const complain = (/** @type {Error} */ fault) => dispatch({ type: 'noticed', sentence: fault.message });
  useEffect(() => {
    api.rooms().then(setRooms, complain);
    api.about().then(setAbout, complain);
  }, [erased]);
  useEffect(() => {
    const untold = (rooms ?? []).filter((room) => room.due && room.left_h === null && room.code !== code);
    for (const room of untold) api.toldDue(room.code).catch(complain);
  }, [rooms]);
  const keep = (/** @type {string} */ kept) => api.keepRoom(kept).then(() => setErased(erased + 1), complain);
  const openNew = submitted((field) => {
    const title = field('title');
    if (title !== '') api.openRoom(title).then((opened) => goToRoom(opened.code), complain);
  });
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
      ${rooms.map((room) => html`<${RoomRow} key=${room.code} room=${room} here=${room.code === code} onKeep=${keep} />`)}
    </ul>`}
    <p class="help">${keepDays > 0 && `A room that nobody has used for ${keepDays} days stands here as due, and is erased when the server has run for a day since, unless you keep it.`}</p>
    <${EraseDue} now=${now} due=${(rooms ?? []).filter((room) => room.due && room.code !== code)}
      onErased=${() => setErased(erased + 1)} onFault=${complain} />
    <${Erase} onFault=${complain} />
    <${Consoles} onFault=${complain} />
  <//>`;
}

/** @param {{ room: RoomEntry, here: boolean, onKeep: (code: string) => void }} props */
function RoomRow({ room, here, onKeep }) {
  const { api, goToRoom } = useDesk();
  const isDue = room.due && !here;
  return html`<li>
    <span><strong>${room.title}</strong> <span class="sign soft">${room.code}</span><br />
      <span class="soft">opened ${dateOf(room.opened)}, ${room.seats} ${room.seats === 1 ? 'seat' : 'seats'}</span>
      ${isDue && html`<br /><span>due: not used for ${room.untouched_days} days, last on ${dateOf(room.last)};
        erased when the server has run for ${hoursOf(room.left_h ?? NOTICE_H)} more</span>`}
      ${room.set_aside && html`<br /><span>set aside: it cannot be read, and is kept as it is</span>`}</span>
    ${isDue && html`<button type="button" class="button" data-size="small"
      aria-label=${`Keep it: ${room.title}, ${room.code}`} onClick=${() => onKeep(room.code)}>Keep it</button>`}
    ${!room.set_aside && html`<a class="button" data-size="small" href=${api.downloadOf(room.code)} download
      aria-label=${`Download: ${room.title}, ${room.code}`}>Download</a>`}
    ${here && html`<span class="soft">this one</span>`}
    ${!here && !room.set_aside && html`<button type="button" class="button" data-size="small"
      aria-label=${`Go there: ${room.title}, ${room.code}`} onClick=${() => goToRoom(room.code)}>Go there</button>`}
  </li>`;
}

/** @param {number} hours */
const hoursOf = (hours) => (hours < 1 ? 'less than an hour' : `${Math.round(hours)} ${Math.round(hours) === 1 ? 'hour' : 'hours'}`);

/** The rooms that nobody has used for long, named before they go: the computer's clock may be wrong.
 * @param {{ now: string, due: RoomEntry[], onErased: () => void, onFault: (fault: Error) => void }} props */
function EraseDue({ now, due, onErased, onFault }) {
  const { api } = useDesk();
  if (due.length === 0) return null;
  const rooms = due.length === 1 ? 'the room that is due' : `the ${due.length} rooms that are due`;
  const erase = async () => {
    try {
      for (const room of due) await api.eraseRoom(room.code);
    } catch (fault) {
      onFault(/** @type {Error} */ (fault));
    }
    onErased();
  };
  return html`<${Erasing} what=${rooms} keep=${`Keep ${due.length === 1 ? 'it' : 'them'}`} go="Erase for good" onGo=${erase}>
    <strong>Erase ${rooms}, for good?</strong> ${due.map((room) => `${room.title} (${room.code})`).join(', ')}.
    ${' '}By the server’s clock it is ${dateOf(now)} now: if that is wrong, keep them.<//>`;
}

/** @param {{ onFault: (fault: Error) => void }} props */
function Erase({ onFault }) {
  const { api, goToRoom } = useDesk();
  const code = useConsole((state) => state.room?.code ?? '');
  const title = useConsole((state) => state.room?.title ?? '');
  return html`<${Erasing} what="this room" keep="Keep it" go=${`Erase ${code} for good`}
    onGo=${() => api.eraseRoom(code).then(() => goToRoom(''), onFault)}>
    <strong>Erase ${title} and all it holds?</strong> Every seat, run and copy of it goes, for good. Learners in it lose their places.<//>`;
}

/** Asked before it is done. @param {{ what: string, keep: string, go: string, onGo: () => void, children?: ComponentChildren }} props */
function Erasing({ what, keep, go, onGo, children }) {
  const [sure, setSure] = useState(false);
  if (!sure) {
    return html`<div><button type="button" class="button" onClick=${() => setSure(true)}>Erase ${what} …</button></div>`;
  }
  return html`<div class="erase" role="alert">
    <p>${children}</p>
    <div class="actions">
      <button type="button" class="button" onClick=${() => setSure(false)}>${keep}</button>
      <button type="button" class="button" data-danger="" onClick=${onGo}>${go}</button>
    </div>
  </div>`;
}

/** @param {string} at */
function dateOf(at) {
  const date = new Date(at);
  return Number.isNaN(date.getTime()) ? at : date.toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
}

/** Which browsers are signed in as instructor, and the end of their session. @param {{ onFault: (fault: Error) => void }} props */
function Consoles({ onFault }) {
  const { api } = useDesk();
  const [sessions, setSessions] = useState(/** @type {import('./desk.js').Session[]} */ ([]));
  const look = () => api.sessions().then(setSessions, onFault);
  useEffect(() => void look(), []);
  return html`<h3>Signed in as instructor</h3>
    <ul role="list" class="room-list">
      ${sessions.map((one) => html`<li key=${one.id}>
        <span>${browserName(one.browser)}<br /><span class="soft">since ${dateOf(one.opened)}</span></span>
        ${one.this && html`<span class="soft">this one</span>`}
        ${!one.this && html`<button type="button" class="button" data-size="small" aria-label=${`Sign out: ${browserName(one.browser)}, since ${dateOf(one.opened)}`}
          onClick=${() => api.signOut(one.id).then(look, onFault)}>Sign out</button>`}
      </li>`)}
    </ul>
    <p class="help">Each ends by itself after eight days. “copyroom secret --new” ends all, and the links with them.</p>`;
}

/** A browser by the words that people know it by. @param {string} told */
function browserName(told) {
  const kind = ['Firefox', 'Edg', 'Chrome', 'Safari'].find((name) => told.includes(name));
  const system = ['Windows', 'Android', 'iPhone', 'iPad', 'Mac OS', 'Linux'].find((name) => told.includes(name));
  return `${kind === 'Edg' ? 'Edge' : kind ?? 'A browser'}${system === undefined ? '' : `, ${system}`}`;
}
