/** What the instructor has given to review at home: the days until the next meeting, each with its sounds. */
import { html } from '../../../vendor/preact.js';
import { dateOfDay } from '../../core/days.js';
import { Sign, spoken } from '../parts/sign.js';
import { useLearner, usePage } from './context.js';

/** Each sound comes so often when a day is tried out here. */
const TURNS = 2;

export function UntilNextTime() {
  const { actions } = usePage();
  const review = useLearner((state) => state.review);
  const hasCopies = useLearner((state) => state.reveal !== null);
  if (review === null) return null;
  return html`
    <main class="column">
      <div>
        <h1>Until next time</h1>
        <p class="soft">Yours alone: what to hear again, and when. A little on several days does more than much on one.</p>
      </div>
      <ol role="list" class="sheet home-days">
        ${review.rows.map(({ day, signs }) => html`<li key=${day}>
          <time datetime=${dateOfDay(day).toISOString().slice(0, 10)}>${inWords(day)}</time>
          <span class="due">${[...signs].map((sign) => html`<${Sign} key=${sign} sign=${sign} /> `)}</span>
          <button class="button" data-size="small" aria-label=${`Hear ${[...signs].map(spoken).join(', ')}`}
            onClick=${() => actions.compare(signs.repeat(TURNS))}>Hear</button>
        </li>`)}
      </ol>
      ${review.rows.length === 0 && html`<p>Nothing is due before ${inWords(review.meeting_day + review.days)}.</p>`}
      <p class="soft">The next meeting is on ${inWords(review.meeting_day + review.days)}. The next run takes the place of this page: keep a picture of it.</p>
      <button class="button" onClick=${actions.putReviewAway}>${hasCopies ? 'Back to my copy' : 'Put it away'}</button>
    </main>`;
}

/** @param {number} day */
const inWords = (day) => dateOfDay(day).toLocaleDateString(undefined, { weekday: 'long', day: 'numeric', month: 'short' });
