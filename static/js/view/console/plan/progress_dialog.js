/** The course so far: the class sound by sound, and each learner, over the meetings. Nobody is ranked. */
import { html, useEffect } from '../../../../vendor/preact.js';
import { dateOfDay } from '../../../core/days.js';
import { curveOf, heldOf, inFigures, learnerRows, symbolRows } from '../../../core/progress.js';
import { Choice } from '../../parts/choice.js';
import { typed } from '../../parts/fields.js';
import { useConsole, useDesk } from '../desk.js';
import { Dialog } from '../dialog.js';
import { Sign } from '../../parts/sign.js';
import { Chart, loadCharts } from './chart.js';
import { useTeaching } from './teaching.js';

/** @import { Row } from '../../../core/progress.js' */
/** @import { MeetingProgress } from '../../../wire.js' */
/** @typedef {'sounds' | 'learners'} Of */

/** On a sheet 186 mm wide within its margins, at 96 pixels to the inch: one across, or three. */
const WIDE = { width: 700, height: 200 };
const SMALL = { width: 225, height: 120 };

export function ProgressDialog() {
  const { dispatch, send } = useDesk();
  const connection = useConsole((state) => state.connection);
  const { progress, of, key, meetings, rows, row } = useChosen();
  const choose = (/** @type {Of} */ next, nextKey = '') =>
    dispatch({ type: 'teaching', change: { progressChoice: { of: next, key: nextKey } } });
  useEffect(() => {
    void loadCharts(); // printing cannot wait for it
    if (connection === 'connected') send('show_progress', {});
  }, [connection]);
  return html`<${Dialog} title="Progress">
    <div class="review-bar">
      <${Choice} label="Progress of" value=${of} options=${[['sounds', 'Sounds'], ['learners', 'Learners']]} onChoose=${(/** @type {Of} */ next) => choose(next)} />
      ${rows.length > 0 && html`<label class="inline-field">Look at
        <select class="input" value=${key} onChange=${typed((next) => choose(of, next))}>
          <option value="">${of === 'sounds' ? 'all sounds, last meeting' : 'the figures of all'}</option>
          ${rows.map((one) => html`<option key=${one.key} value=${one.key}>${one.name} over the meetings</option>`)}
        </select></label>`}
      <button type="button" class="button" data-size="small" disabled=${rows.length === 0} onClick=${() => window.print()}>Print</button>
    </div>
    ${progress === null ? html`<p class="soft">Adding up …</p>`
      : rows.length === 0 ? html`<p class="soft">Nothing counted yet. The first closed run begins the course’s record.</p>`
        : html`<${Drawn} row=${row} rows=${rows} meetings=${meetings} of=${of} />
          <${Table} rows=${row === undefined ? rows : [row]} meetings=${meetings} of=${of} />`}
    <p class="help">Percent right of what was sent, with the range in which the true share lies 19 times in 20.
      A wide range says little.${of === 'learners' ? ' Learners stand by name; each is to be compared with their own earlier meetings alone.' : ''}</p>
  <//>`;
}

/** What is chosen to be looked at. */
function useChosen() {
  const progress = useTeaching((teaching) => teaching.course_progress);
  const { of, key } = useTeaching((teaching) => teaching.progressChoice);
  const meetings = progress === null ? [] : heldOf(progress);
  const rows = progress === null ? [] : of === 'sounds' ? symbolRows(meetings) : learnerRows(progress, meetings);
  return { progress, of, key, meetings, rows, row: rows.find((one) => one.key === key) };
}

/** One line over the meetings, or the last meeting sound by sound. Learners are never drawn side by side: that would rank them.
 * @param {{ row: Row | undefined, rows: Row[], meetings: MeetingProgress[], of: Of, onPaper?: import('./chart.js').Size }} props */
function Drawn({ row, rows, meetings, of, onPaper }) {
  if (row === undefined && of === 'learners') return null;
  if (row !== undefined && meetings.length < 2) {
    return html`<p class="soft">One meeting so far: a line begins with the second.</p>`;
  }
  const last = meetings.length - 1;
  const shown = row === undefined ? rows.filter(({ figures }) => figures[last] !== null) : [];
  const figures = row === undefined ? shown.map((one) => one.figures[last]) : row.figures;
  const places = row === undefined ? shown.map(({ name }) => name) : placesOf(meetings);
  const what = row === undefined ? 'Each sound at the last meeting' : `${row.name} over the meetings`;
  return html`<${Chart} key=${`${of} ${row?.key ?? ''}`} label=${`${what}, percent right; the table below has the same figures`} curve=${curveOf(figures)}
    places=${places} joined=${row !== undefined} onPaper=${onPaper} />`;
}

/** @param {MeetingProgress[]} meetings */
const placesOf = (meetings) => meetings.map(({ number, day }) => `${number}: ${shortDate(day)}`);

/** @param {number} day */
const shortDate = (day) => dateOfDay(day).toLocaleDateString(undefined, { day: 'numeric', month: 'short' });

/** @param {number} n */
const ordinal = (n) => `${n}${['th', 'st', 'nd', 'rd'][n % 100 > 10 && n % 100 < 14 ? 0 : n % 10] ?? 'th'}`;

/** @param {{ rows: Row[], meetings: MeetingProgress[], of: Of }} props */
function Table({ rows, meetings, of }) {
  return html`<div class="progress-scroll" tabindex="0" role="group" aria-label="The figures">
    <table class="sendings progress-table">
      <caption class="unseen">Percent right with its range, and how many were sent, meeting by meeting</caption>
      <thead><tr>
        <th scope="col">${of === 'sounds' ? 'Sound' : 'Learner'}</th>
        ${meetings.map(({ number, day }) => html`<th scope="col" key=${number}>${ordinal(number)} meeting<br />${shortDate(day)}</th>`)}
      </tr></thead>
      <tbody>${rows.map(({ key, name, figures }) => html`<tr key=${key}>
        <th scope="row">${of === 'sounds' ? html`<${Sign} sign=${name} />` : name}</th>
        ${figures.map((figure, i) => html`<td key=${meetings[i].number}>${figure === null ? html`<span class="soft">–</span>`
          : html`${inFigures(figure)} <span class="soft">of ${figure.of}</span>`}</td>`)}
      </tr>`)}</tbody>
    </table>
  </div>`;
}

/** A small line over the meetings for each. @param {{ rows: Row[], meetings: MeetingProgress[], of: Of }} props */
function Curves({ rows, meetings, of }) {
  if (meetings.length < 2) return null;
  return html`<div class="curves">${rows.map(({ key, name, figures }) => html`<figure key=${key}>
    <figcaption>${of === 'sounds' ? html`<${Sign} sign=${name} />` : name}</figcaption>
    <${Chart} label=${`${name} over the meetings`} curve=${curveOf(figures)} places=${placesOf(meetings)} joined=${true} onPaper=${SMALL} />
  </figure>`)}</div>`;
}

/** What is chosen on the screen, on paper. The sounds' sheet is for all and holds no name. */
export function ProgressPaper() {
  const { progress, of, meetings, rows, row } = useChosen();
  const title = useConsole((state) => state.room?.title ?? '');
  if (progress === null) return null;
  return html`<section class="print-sheet">
    <h1>${title}: progress</h1>
    <p>Percent right of what was sent, with the range in which the true share lies 19 times in 20.</p>
    <h2>${of === 'sounds' ? 'The class, sound by sound' : 'Each learner, by name. For the instructor alone.'}</h2>
    <${Drawn} row=${row} rows=${rows} meetings=${meetings} of=${of} onPaper=${WIDE} />
    ${row === undefined && html`<${Curves} rows=${rows} meetings=${meetings} of=${of} />`}
    <${Table} rows=${row === undefined ? rows : [row]} meetings=${meetings} of=${of} />
  </section>`;
}
