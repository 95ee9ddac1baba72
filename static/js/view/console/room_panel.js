/** The room: every learner with a thin bar of how far they have written, and what needs the instructor now. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { begunAt, endRoomMs, phaseAt } from '../../core/moment.js';
import { newsOf } from '../../core/seat_news.js';
import { useTicking } from '../parts/use_store.js';
import { focusIt, submitted, ticked, typed } from '../parts/fields.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { SeatRow } from './seat_row.js';
import { hearingName } from './settings_dialogs.js';

/** @import { ProgressOut, SeatOut } from '../../wire.js' */
/** @import { RunDetail } from '../../core/moment.js' */

export function RoomPanel() {
  const seats = useConsole((state) => state.seats);
  const run = useConsole((state) => state.run);
  const progress = useConsole((state) => state.progress);
  const hearing = useConsole((state) => state.room?.hearing ?? 'every');
  const { roomMs } = useDesk();
  const [opened, setOpened] = useState(0);
  useTicking(() => Math.floor(roomMs() / 1000), 250); // who is silent, and since when
  const source = useConsole((state) => state.room?.source ?? 0);
  const parts = useConsole((state) => state.parts);
  const own = ownRuns([{ run, progress }, ...Object.values(parts)]);
  const nowOf = (/** @type {number} */ seat) => ({ ...momentOf(own.get(seat)?.run ?? run, roomMs()), hearing, source });
  const away = seats.filter((seat) => seat.long_away);
  const rows = (/** @type {readonly SeatOut[]} */ some) => inOrder(some).map((seat) => html`<${SeatRow} key=${seat.seat}
    seat=${seat} news=${newsOf(seat, own.get(seat.seat)?.copy, nowOf(seat.seat))} copy=${own.get(seat.seat)?.copy} opened=${opened === seat.seat}
    onOpen=${() => setOpened(opened === seat.seat ? 0 : seat.seat)} />`);
  return html`<section class="room" aria-labelledby="room-title">
    <div class="panel-head">
      <h2 id="room-title">The room</h2>
      <span class="soft">${ways(seats)}</span>
    </div>
    <${RoomSettings} hearing=${hearing} />
    ${seats.length === 0 && html`<p class="soft empty">Nobody is in yet. Each learner appears here on joining.</p>`}
    <ul role="list" class="seats">
      ${rows(seats.filter((seat) => !seat.long_away))}
    </ul>
    <${LongAway} count=${away.length}>${rows(away)}<//>
    <${AddSeat} />
  </section>`;
}

/** Per learner the run that they have a part in, and their copy of it. @param {readonly { run: RunDetail | null, progress: ProgressOut | null }[]} runs */
const ownRuns = (runs) => new Map(runs.flatMap(({ run, progress }) => (progress !== null && progress.push === run?.push
  ? progress.copies.map((copy) => /** @type {const} */ ([copy.seat, { run, copy }])) : [])));

/** Those whom nobody has seen since an earlier evening, folded. @param {{ count: number, children?: import('../../../vendor/preact/preact.js').ComponentChildren }} props */
function LongAway({ count, children }) {
  const { send } = useDesk();
  const [sure, setSure] = useState(false);
  useEffect(() => setSure(false), [count]);
  if (count === 0) return null;
  const learners = count === 1 ? 'one learner' : `${count} learners`;
  return html`<details class="long-away">
    <summary>${count} long away</summary>
    <ul role="list" class="seats">${children}</ul>
    ${!sure && html`<button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => setSure(true)}>
      Take them off this list …</button>`}
    ${sure && html`<div class="seat-actions" role="alert">
      <p>Take ${learners} off this list? Nothing is erased: what they wrote stays in every figure, and who comes back is here again.</p>
      <button type="button" class="button" data-size="small" onClick=${() => setSure(false)}>Leave them</button>
      <button type="button" class="button" data-size="small" onClick=${() => send('clear_away', {})}>Take off</button>
    </div>`}
  </details>`;
}

/** @param {RunDetail | null} run @param {number} roomMs */
function momentOf(run, roomMs) {
  return {
    phase: phaseAt(run, roomMs),
    begun: run === null ? 0 : begunAt(run, roomMs),
    sent: run?.sent ?? 0,
    sinceStartMs: run === null ? 0 : roomMs - run.start_room_ms,
    endMs: (/** @type {number} */ index) => (run?.edges[index] === undefined ? 0 : endRoomMs(run, index) - run.start_room_ms),
    counted: run?.counted ?? false,
  };
}

/** Who waits or asks for help first, then by name: never by how much somebody wrote. @param {readonly SeatOut[]} seats */
function inOrder(seats) {
  const calls = (/** @type {SeatOut} */ seat) => Number(!seat.inside) * 2 + Number(seat.asks_help);
  return [...seats].sort((a, b) => calls(b) - calls(a)
    || a.name.localeCompare(b.name, undefined, { numeric: true }));
}

/** @param {readonly SeatOut[]} seats */
function ways(seats) {
  const here = seats.filter((seat) => seat.here && seat.inside);
  const paper = here.filter((seat) => seat.way === 'paper').length;
  if (here.length === 0) return '';
  return paper === 0 ? `${here.length} typing` : `${here.length - paper} typing, ${paper} on paper`;
}

/** @param {{ hearing: Parameters<typeof hearingName>[0] }} props */
function RoomSettings({ hearing }) {
  const told = useConsole((state) => state.room?.hold_at_door ?? false);
  const [held, setHeld] = useState(told); // the room answers a moment later than one clicks
  useEffect(() => setHeld(told), [told]);
  const { send } = useDesk();
  const open = useDialog();
  return html`<div class="room-settings">
    <button type="button" class="button" data-kind="bare" data-size="small" title="How the class hears"
      onClick=${() => open('hearing')}>${hearingName(hearing)} …</button>
    <label class="switch" data-size="small" title="Until you let them in, they neither hear nor see the lesson"><input type="checkbox" checked=${held}
      onChange=${ticked((on) => {
        setHeld(on);
        send('hold_at_door', { on });
      })} /> Newcomers wait at the door</label>
    <${Door} />
  </div>`;
}

/** How many are expected, and whether anybody new may come at all. */
function Door() {
  const size = useConsole((state) => state.room?.class_size ?? 0);
  const shut = useConsole((state) => state.room?.shut ?? '');
  const { send } = useDesk();
  if (size === 0) return null;
  const expect = (/** @type {string} */ told) => {
    const wanted = Number(told);
    if (Number.isInteger(wanted) && wanted >= 1 && wanted <= 1200 && wanted !== size) send('set_class_size', { size: wanted });
  };
  return html`<label class="inline-field class-size" title="When so many are in, the door shuts for newcomers by itself">
      Expected <input class="input" type="number" min="1" max="1200" key=${size} defaultValue=${size} onChange=${typed(expect)} /></label>
    <label class="switch" data-size="small" title="Who has a seat comes in as ever"><input type="checkbox" checked=${shut !== ''}
      onChange=${ticked((on) => send('shut_door', { on }))} /> Door shut</label>`;
}

function AddSeat() {
  const { send } = useDesk();
  const [adding, setAdding] = useState(false);
  if (!adding) {
    return html`<button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => setAdding(true)}>
      Add a seat without a device</button>`;
  }
  const add = submitted((field) => {
    const name = field('name');
    if (name === '') return;
    send('add_seat', { name });
    setAdding(false);
  });
  return html`<form class="add-seat field" onSubmit=${add}>
    <label for="new-seat">Nickname or seat number</label>
    <input id="new-seat" class="input" name="name" maxlength="24" autocomplete="off"
      ref=${focusIt} />
    <p class="help">On paper; you key the sheet in after a run.</p>
    <div class="actions">
      <button type="button" class="button" data-size="small" onClick=${() => setAdding(false)}>Cancel</button>
      <button type="submit" class="button" data-size="small">Add the seat</button>
    </div>
  </form>`;
}
