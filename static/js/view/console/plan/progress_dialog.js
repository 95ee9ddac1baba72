/** The course so far: the class sound by sound, and each learner, over the meetings. Nobody is ranked. */
import { html, useEffect } from '../../../../vendor/preact.js';
import { dateOfDay } from '../../../core/days.js';
import { curveOf, heldOf, inFigures, inSounds, learnerRows, symbolRows } from '../../../core/progress.js';
import { Choice } from '../../parts/choice.js';
import { typed } from '../../parts/fields.js';
import { useConsole, useDesk } from '../desk.js';
import { Dialog } from '../dialog.js';
import { Sign } from '../../parts/sign.js';
import { Chart, loadCharts } from './chart.js';
import { useTeaching } from './teaching.js';

/** @import { Row } from '../../../core/progress.js' */
/** @import { MeetingProgress, SpeedProgress } from '../../../wire.js' */
/** @typedef {'sounds' | 'learners' | 'speeds'} Of */

/** On a sheet 186 mm wide within its margins, at 96 pixels to the inch: one across, or three. */
const WIDE = { width: 700, height: 200 };
const SMALL = { width: 225, height: 120 };

const OVER = { sounds: 'meetings', learners: 'meetings', speeds: 'speeds' };
const FIGURES = {
  sounds: 'Counted: percent right of what was sent, with the range in which the true share lies 19 times in 20.',
  learners: 'Believed, by all that was copied: how many of the course’s sounds were known by the end of each meeting, with a range that holds it'
    + ' at least 4 times in 5. What was not tested yet is only what is usual.',
  speeds: 'Believed for today, by all that was copied: how many of the course’s sounds are known at each speed that was sent, with its range.',
};

export function ProgressDialog() {
  const { dispatch, send } = useDesk();
  const connection = useConsole((state) => state.connection);
  const { progress, of, key, columns, rows, row } = useChosen();
  const choose = (/** @type {Of} */ next, nextKey = '') =>
    dispatch({ type: 'teaching', change: { progressChoice: { of: next, key: nextKey } } });
  useEffect(() => {
    void loadCharts(); // printing cannot wait for it
    if (connection === 'connected') send('show_progress', {});
  }, [connection]);
  return html`<${Dialog} title="Progress">
    <div class="review-bar">
      <${Choice} label="Progress of" value=${of} options=${[['sounds', 'Sounds'], ['learners', 'Learners'], ['speeds', 'Speeds']]} onChoose=${(/** @type {Of} */ next) => choose(next)} />
      ${rows.length > 0 && html`<label class="inline-field">Look at
        <select class="input" value=${key} onChange=${typed((next) => choose(of, next))}>
          <option value="">${of === 'sounds' ? 'all sounds, last meeting' : 'the figures of all'}</option>
          ${rows.map((one) => html`<option key=${one.key} value=${one.key}>${one.name} over the ${OVER[of]}</option>`)}
        </select></label>`}
      <button type="button" class="button" data-size="small" disabled=${rows.length === 0} onClick=${() => window.print()}>Print</button>
    </div>
    ${progress === null ? html`<p class="soft">Adding up …</p>`
      : rows.length === 0 ? html`<p class="soft">Nothing counted yet. The first closed run begins the course’s record.</p>`
        : html`<${Drawn} row=${row} rows=${rows} columns=${columns} of=${of} />
          <${Table} rows=${row === undefined ? rows : [row]} columns=${columns} of=${of} />`}
    <p class="help">${FIGURES[of]} A wide range says little.${of === 'learners'
      ? ' Learners stand by name; each is to be compared with their own earlier meetings alone.' : ''}</p>
  <//>`;
}

/** What stands over a column, and at its place on a line. @typedef {{ key: string, head: string, under: string, place: string }} Column */

/** @param {MeetingProgress} meeting @returns {Column} */
const meetingColumn = ({ number, day }) =>
  ({ key: `${number}`, head: `${ordinal(number)} meeting`, under: shortDate(day), place: `${number}: ${shortDate(day)}` });

/** @param {SpeedProgress} speed @returns {Column} */
const speedColumn = ({ wpm, overall_wpm: overall }) =>
  ({ key: `${wpm} ${overall}`, head: `${overall} wpm`, under: `sounds at ${wpm}`, place: `${overall}` });

/** What is chosen to be looked at. */
function useChosen() {
  const progress = useTeaching((teaching) => teaching.course_progress);
  const { of, key } = useTeaching((teaching) => teaching.progressChoice);
  const meetings = progress === null ? [] : heldOf(progress);
  const columns = progress === null ? [] : of === 'speeds' ? progress.speeds.map(speedColumn) : meetings.map(meetingColumn);
  const rows = progress === null ? [] : of === 'sounds' ? symbolRows(meetings)
    : learnerRows(progress, of === 'speeds' ? progress.speeds : meetings);
  return { progress, of, key, columns, rows, row: rows.find((one) => one.key === key) };
}

/** One line over the meetings, or the last meeting sound by sound. Learners are never drawn side by side: that would rank them.
 * @param {{ row: Row | undefined, rows: Row[], columns: Column[], of: Of, onPaper?: import('./chart.js').Size }} props */
function Drawn({ row, rows, columns, of, onPaper }) {
  if (row === undefined && of !== 'sounds') return null;
  if (row !== undefined && columns.length < 2) {
    return html`<p class="soft">${of === 'speeds' ? 'One speed' : 'One meeting'} so far: a line begins with the second.</p>`;
  }
  const last = columns.length - 1;
  const shown = row === undefined ? rows.filter(({ figures }) => figures[last] !== null) : [];
  const figures = row === undefined ? shown.map((one) => one.figures[last]) : row.figures;
  const places = row === undefined ? shown.map(({ name }) => name) : columns.map(({ place }) => place);
  const what = row === undefined ? 'Each sound at the last meeting' : `${row.name} over the ${OVER[of]}`;
  return html`<${Chart} key=${`${of} ${row?.key ?? ''}`} label=${`${what}, percent; the table below has the same figures`} curve=${curveOf(figures)}
    places=${places} joined=${row !== undefined} onPaper=${onPaper} />`;
}

/** @param {number} day */
const shortDate = (day) => dateOfDay(day).toLocaleDateString(undefined, { day: 'numeric', month: 'short' });

/** @param {number} n */
const ordinal = (n) => `${n}${['th', 'st', 'nd', 'rd'][n % 100 > 10 && n % 100 < 14 ? 0 : n % 10] ?? 'th'}`;

/** @param {{ rows: Row[], columns: Column[], of: Of }} props */
function Table({ rows, columns, of }) {
  return html`<div class="progress-scroll" tabindex="0" role="group" aria-label="The figures">
    <table class="sendings progress-table">
      <caption class="unseen">The figures with their ranges, and of how many, column by column</caption>
      <thead><tr>
        <th scope="col">${of === 'sounds' ? 'Sound' : 'Learner'}</th>
        ${columns.map(({ key, head, under }) => html`<th scope="col" key=${key}>${head}<br />${under}</th>`)}
      </tr></thead>
      <tbody>${rows.map(({ key, name, figures }) => html`<tr key=${key}>
        <th scope="row">${of === 'sounds' ? html`<${Sign} sign=${name} />` : name}</th>
        ${figures.map((figure, i) => html`<td key=${columns[i].key}>${figure === null ? html`<span class="soft">–</span>`
          : html`${of === 'sounds' ? inFigures(figure) : inSounds(figure)} <span class="soft">of ${figure.of}</span>`}</td>`)}
      </tr>`)}</tbody>
    </table>
  </div>`;
}

/** A small line over the meetings for each. @param {{ rows: Row[], columns: Column[], of: Of }} props */
function Curves({ rows, columns, of }) {
  if (columns.length < 2) return null;
  return html`<div class="curves">${rows.map(({ key, name, figures }) => html`<figure key=${key}>
    <figcaption>${of === 'sounds' ? html`<${Sign} sign=${name} />` : name}</figcaption>
    <${Chart} label=${`${name} over the ${OVER[of]}`} curve=${curveOf(figures)} places=${columns.map(({ place }) => place)} joined=${true} onPaper=${SMALL} />
  </figure>`)}</div>`;
}

/** What is chosen on the screen, on paper. The sounds' sheet is for all and holds no name. */
export function ProgressPaper() {
  const { progress, of, columns, rows, row } = useChosen();
  const title = useConsole((state) => state.room?.title ?? '');
  if (progress === null) return null;
  return html`<section class="print-sheet">
    <h1>${title}: progress</h1>
    <p>${FIGURES[of]}</p>
    <h2>${of === 'sounds' ? 'The class, sound by sound' : 'Each learner, by name. For the instructor alone.'}</h2>
    <${Drawn} row=${row} rows=${rows} columns=${columns} of=${of} onPaper=${WIDE} />
    ${row === undefined && html`<${Curves} rows=${rows} columns=${columns} of=${of} />`}
    <${Table} rows=${row === undefined ? rows : [row]} columns=${columns} of=${of} />
  </section>`;
}
