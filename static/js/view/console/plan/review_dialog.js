/** Until the next meeting: what to listen to on which day, as a small calendar, for the class or for one learner. */
import { html, useEffect, useState } from '../../../../vendor/preact.js';
import { dateOfDay } from '../../../core/days.js';
import { numbered } from '../../parts/fields.js';
import { useConsole, useDesk } from '../desk.js';
import { Dialog } from '../dialog.js';
import { SignList } from '../signs.js';
import { useTeaching } from './teaching.js';

/** @import { ReviewOut, ReviewRow } from '../../../wire.js' */

const USUAL_DAYS = 7;
const WHOLE_CLASS = 0;

export function ReviewDialog() {
  const { send } = useDesk();
  const connection = useConsole((state) => state.connection);
  const learners = useConsole((state) => state.seats);
  const review = useTeaching((teaching) => teaching.review);
  const [days, setDays] = useState(review?.days ?? USUAL_DAYS);
  const [seat, setSeat] = useState(review?.seat ?? WHOLE_CLASS);
  useEffect(() => {
    if (connection === 'connected') send('show_review', { days, seat });
  }, [days, seat, connection]);
  const byName = [...learners].sort((a, b) => a.name.localeCompare(b.name));
  const isHere = review !== null && review.days === days && review.seat === seat;
  return html`<${Dialog} title="Until next time">
    <div class="review-bar">
      <label class="inline-field">The next meeting is in
        <select class="input" value=${days} onChange=${numbered(setDays)}>
          ${[2, 3, 4, 5, 6, 7, 10, 14, 21, 28, 42].map((n) => html`<option key=${n} value=${n}>${n} days</option>`)}
        </select></label>
      <label class="inline-field">for
        <select class="input" value=${seat} onChange=${numbered(setSeat)}>
          <option value=${WHOLE_CLASS}>the whole class</option>
          ${byName.map(({ seat: own, name }) => html`<option key=${own} value=${own}>${name}</option>`)}
        </select></label>
      <button type="button" class="button" data-size="small" disabled=${!isHere} onClick=${() => window.print()}>Print</button>
    </div>
    <${Giving} days=${days} disabled=${!isHere || review.rows.length === 0} />
    ${isHere ? html`<${Calendar} review=${review} />` : html`<p class="soft">Working it out …</p>`}
    <p class="help">A little on several days does more than much on one. What comes up here goes into the next meeting’s warm-up.</p>
  <//>`;
}

/** Each learner's own days on their own page. @param {{ days: number, disabled: boolean }} props */
function Giving({ days, disabled }) {
  const { send } = useDesk();
  const given = useTeaching((teaching) => teaching.plan?.review_days ?? 0);
  return html`<div class="giving">
    <button type="button" class="button" data-kind="primary" disabled=${disabled || given === days}
      onClick=${() => send('give_review', { days })}>Show each learner their own</button>
    <p class="soft" role="status">${given === days ? 'Each learner’s page shows their own days, until you send something again.'
      : given > 0 ? `Their pages show the days for a meeting in ${given} days.` : ''}</p>
  </div>`;
}

/** The days from the meeting to the next, each with what it asks for. @param {{ review: ReviewOut }} props */
function Calendar({ review }) {
  if (review.rows.length === 0) {
    return html`<p class="soft">Nothing to review yet: no sound is known, or nothing was copied.</p>`;
  }
  const days = Array.from({ length: review.days + 1 }, (_, i) => review.meeting_day + i);
  return html`<ol role="list" class="calendar">
    ${days.map((day, i) => html`<${Day} key=${day} day=${day} row=${review.rows.find((row) => row.day === day)}
      note=${i === 0 ? 'this meeting' : i === review.days ? 'the next meeting' : ''} />`)}
  </ol>`;
}

/** @param {{ day: number, note: string, row?: ReviewRow }} props */
function Day({ day, note, row }) {
  const date = dateOfDay(day);
  return html`<li data-is=${note !== '' ? 'meeting' : row === undefined ? 'free' : 'review'}>
    <time datetime=${date.toISOString().slice(0, 10)}>${date.toLocaleDateString(undefined, { weekday: 'short', day: 'numeric', month: 'short' })}</time>
    ${note !== '' && html`<span class="soft">${note}</span>`}
    ${note === '' && row === undefined && html`<span class="soft">nothing</span>`}
    ${row !== undefined && html`<strong class="due"><${SignList} signs=${row.signs} /></strong><span class="why">${row.why}</span>`}
  </li>`;
}

/** The calendar on paper. */
export function ReviewPaper() {
  const review = useTeaching((teaching) => teaching.review);
  const title = useConsole((state) => state.room?.title ?? '');
  const name = useConsole((state) => state.seats.find(({ seat }) => seat === review?.seat)?.name ?? '');
  if (review === null) return null;
  return html`<section class="print-sheet">
    <h1>${title}: until next time${name === '' ? '' : `, ${name}`}</h1>
    <${Calendar} review=${review} />
    <p>A little on several days does more than much on one.</p>
  </section>`;
}
