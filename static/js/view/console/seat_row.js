/** One learner in the room: how far, how it stands, and behind the name what the instructor can do. */
import { html, useState } from '../../../vendor/preact.js';
import { focusIt, selectAll, submitted } from '../parts/fields.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { plainly } from './signs.js';

/** @import { CopyProgress, SeatOut } from '../../wire.js' */
/** @import { SeatNews } from '../../core/seat_news.js' */

/** @param {{ seat: SeatOut, news: SeatNews, copy: CopyProgress | undefined, opened: boolean, onOpen: () => void }} props */
export function SeatRow({ seat, news, copy, opened, onOpen }) {
  const { send } = useDesk();
  return html`<li class="seat" data-here=${seat.here ? '' : undefined} data-paper=${news.onPaper ? '' : undefined}>
    <div class="seat-line">
      <button type="button" class="seat-name" aria-expanded=${opened ? 'true' : 'false'} onClick=${onOpen}>${seat.name}</button>
      <span class="seat-bar" style=${{ '--written': news.written }} aria-hidden="true"></span>
      <span class="seat-words" data-urgent=${news.urgent ? '' : undefined}>${news.words}</span>
      ${!seat.inside && html`<button type="button" class="button" data-size="small" aria-label=${`Let in ${seat.name}`}
        onClick=${() => send('let_in', { seat: seat.seat })}>Let in</button>`}
      ${seat.inside && seat.asks_help && html`<button type="button" class="button" data-size="small"
        aria-label=${`Seen to ${seat.name}`} onClick=${() => send('seen_help', { seat: seat.seat })}>Seen</button>`}
    </div>
    ${seat.same_as !== 0 && html`<${FromBefore} seat=${seat} />`}
    ${opened && html`<${SeatActions} seat=${seat} copy=${copy} />`}
  </li>`;
}

/** A newcomer who asked for the nickname of somebody away: perhaps the same learner with another device.
 * @param {{ seat: SeatOut }} props */
function FromBefore({ seat }) {
  const { send } = useDesk();
  const before = useConsole((state) => state.seats.find((other) => other.seat === seat.same_as)?.name ?? '');
  const [asked, setAsked] = useState(true);
  if (!asked || before === '') return null;
  return html`<div class="seat-actions">
    <p class="help">Is this ${before} from before, with another device?</p>
    <button type="button" class="button" data-size="small" onClick=${() => setAsked(false)}>No, another</button>
    <button type="button" class="button" data-size="small" aria-label=${`Yes, ${seat.name} is ${before}`}
      onClick=${() => send('make_one', { seat: seat.seat, into: seat.same_as })}>Yes, the same</button>
  </div>`;
}

/** @param {{ seat: SeatOut, onDone: () => void }} props */
function SamePerson({ seat, onDone }) {
  const { send } = useDesk();
  const seats = useConsole((state) => state.seats);
  const others = seats.filter((other) => other.seat !== seat.seat && other.device && !(other.here && seat.here));
  const keep = submitted((field) => {
    const into = Number(field('into'));
    if (into > 0) send('make_one', { seat: seat.seat, into });
    onDone();
  });
  return html`<form class="seat-actions" onSubmit=${keep}>
    <label>${seat.name} is the same learner as <select class="input" name="into" ref=${focusIt}>
      ${others.map((other) => html`<option key=${other.seat} value=${other.seat}>${other.name}</option>`)}</select></label>
    <p class="help">Their sheets become one record under that name. It can be taken back.</p>
    <button type="button" class="button" data-size="small" onClick=${onDone}>Cancel</button>
    <button type="submit" class="button" data-size="small" disabled=${others.length === 0}>Make them one</button>
  </form>`;
}

/** @param {{ seat: SeatOut, copy: CopyProgress | undefined }} props */
function SeatActions({ seat, copy }) {
  const { send } = useDesk();
  const open = useDialog();
  const hasRun = useConsole((state) => state.run !== null && state.run.counted && state.run.phase !== 'revealed');
  const isShown = useConsole((state) => state.run?.phase === 'revealed');
  const canCount = !seat.device && isShown && copy?.written === 0;
  const [mode, setMode] = useState('');
  const showSheets = () => {
    open('sheets', seat.seat);
    send('show_sheet', { seat: seat.seat });
  };
  if (mode === 'rename') return html`<${Rename} seat=${seat} onDone=${() => setMode('')} />`;
  if (mode === 'count' && canCount) return html`<${Count} seat=${seat} onDone=${() => setMode('')} />`;
  if (mode === 'same') return html`<${SamePerson} seat=${seat} onDone=${() => setMode('')} />`;
  if (mode === 'remove') return html`<${Remove} seat=${seat} onDone=${() => setMode('')} />`;
  return html`<div class="seat-actions">
    <p class="help">${detailOf(seat, copy)}</p>
    ${!seat.device && hasRun && html`<button type="button" class="button" data-size="small"
      onClick=${() => open('key in', seat.seat)}>Key in the sheet</button>`}
    ${canCount && html`<button type="button" class="button" data-size="small"
      onClick=${() => setMode('count')}>Count of the sheet</button>`}
    <button type="button" class="button" data-size="small" onClick=${showSheets}>Sheets</button>
    <button type="button" class="button" data-size="small" onClick=${() => setMode('rename')}>Rename</button>
    ${seat.device && html`<button type="button" class="button" data-size="small" onClick=${() => setMode('same')}>Same as …</button>`}
    ${seat.parts.map(([part, name]) => html`<button type="button" class="button" data-size="small" key=${part}
      onClick=${() => send('make_two', { seat: Number(part) })}>${`${name} is another after all`}</button>`)}
    <button type="button" class="button" data-size="small" onClick=${() => setMode('remove')}>Remove</button>
  </div>`;
}

/** @param {SeatOut} seat @param {CopyProgress | undefined} copy */
function detailOf(seat, copy) {
  if (!seat.device) return 'No device. Hears the room, writes on paper.';
  const sound = { off: 'sound not on', on: `sound on, within ${Math.max(1, Math.ceil(seat.uncertainty_ms))} ms`,
    lost: 'sound lost: a tap on the page brings it back', silent: 'silent by choice' }[seat.sound];
  const heard = copy === undefined ? '' : `; ${copy.heard} sounds heard in this run`;
  const lacks = seat.not_met === '' ? '' : ` Has not met ${[...seat.not_met].map(plainly).join(', ')}.`;
  return `${seat.way === 'paper' ? 'On paper' : 'Typing'}, ${sound}${seat.visible ? '' : ', page in the background'}${heard}.${lacks}`;
}

/** How much of a sheet on paper was right, as its writer says. @param {{ seat: SeatOut, onDone: () => void }} props */
function Count({ seat, onDone }) {
  const { send } = useDesk();
  const push = useConsole((state) => state.run?.push ?? 0);
  const of = useConsole((state) => state.run?.sent ?? 0);
  const keep = submitted((field) => {
    send('hand_in_count', { push, seat: seat.seat, right: Number(field('right')), of });
    onDone();
  });
  return html`<form class="seat-actions" onSubmit=${keep}>
    <label>Right of ${of} <input class="input" name="right" type="number" min="0" max=${of} required ref=${focusIt} /></label>
    <button type="button" class="button" data-size="small" onClick=${onDone}>Cancel</button>
    <button type="submit" class="button" data-size="small">Keep the count</button>
  </form>`;
}

/** @param {{ seat: SeatOut, onDone: () => void }} props */
function Rename({ seat, onDone }) {
  const { send } = useDesk();
  const keep = submitted((field) => {
    const name = field('name');
    if (name !== '' && name !== seat.name) send('rename', { seat: seat.seat, name });
    onDone();
  });
  // Not `value`: what comes in about the seat meanwhile would put the old name back.
  return html`<form class="seat-actions" onSubmit=${keep}>
    <input class="input" name="name" aria-label=${`New name for ${seat.name}`} maxlength="24" defaultValue=${seat.name}
      onFocus=${selectAll} ref=${focusIt} />
    <button type="button" class="button" data-size="small" onClick=${onDone}>Cancel</button>
    <button type="submit" class="button" data-size="small">Save the name</button>
  </form>`;
}

/** @param {{ seat: SeatOut, onDone: () => void }} props */
function Remove({ seat, onDone }) {
  const { send } = useDesk();
  const seats = useConsole((state) => state.seats);
  const since = seats.filter((other) => other.seat >= seat.seat && other.device).map((other) => other.seat);
  const remove = (/** @type {number[]} */ gone) => {
    send('remove_seats', { seats: gone });
    if (seat.device) send('hold_at_door', { on: true });
  };
  return html`<div class="seat-actions" role="alert">
    <p>Remove ${seat.name}? The copies of this seat leave every figure and the record on disk, and this cannot be undone.
      ${seat.device && ' Newcomers then wait at the door until you let them in.'}</p>
    <button type="button" class="button" data-size="small" onClick=${onDone}>Keep the seat</button>
    <button type="button" class="button" data-size="small" data-danger="" onClick=${() => remove([seat.seat])}>
      Remove ${seat.name}</button>
    ${seat.device && since.length > 1 && html`<button type="button" class="button" data-size="small" data-danger="" onClick=${() => remove(since)}>
      Remove all ${since.length} who came since ${seat.name}</button>`}
  </div>`;
}
