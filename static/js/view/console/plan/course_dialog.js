/** The course: which sounds in which order, why each stands where it stands, and over how many meetings. */
import { html, useRef, useState } from '../../../../vendor/preact.js';
import { inTableOrder } from '../../../core/alphabet.js';
import { covering, extentOf, movedInCourse, orderAsText, pinnedOrNot, readOrder, tooShort, withoutSign } from '../../../core/course.js';
import { Choice } from '../../parts/choice.js';
import { submitted, typed } from '../../parts/fields.js';
import { useLater } from '../../parts/use_store.js';
import { useConsole, useDesk, useDialog } from '../desk.js';
import { Dialog } from '../dialog.js';
import { SignList } from '../signs.js';
import { CourseOrder } from './course_order.js';
import { useTeaching } from './teaching.js';

/** @import { ShowCourseIn as CourseDraft } from '../../../wire.js' */

const ASK_AFTER_MS = 150;
const EMPTY_DRAFT = Object.freeze({ emphasis: /** @type {const} */ ('words'), signs: '', pins: [] });

export function CourseDialog() {
  const plan = useTeaching((teaching) => teaching.plan);
  const course = useTeaching((teaching) => teaching.course);
  const [draft, setDraft] = useState(/** @type {CourseDraft} */ (plan === null ? EMPTY_DRAFT
    : { emphasis: plan.emphasis, signs: plan.order, pins: plan.pins }));
  const [meetings, setMeetings] = useState(String(plan?.meetings ?? 1));
  const [mostNew, setMostNew] = useState(plan?.most_new ? String(plan.most_new) : '');
  const { send } = useDesk();
  const open = useDialog();
  const known = useConsole((state) => state.room?.symbols ?? '');
  useOrderOf(draft);
  const order = course?.order ?? [];
  const signs = order.map(({ sign }) => sign).join('');
  const about = course?.emphases.find(({ emphasis }) => emphasis === draft.emphasis);
  const choose = submitted(() => send('set_course', { ...draft, meetings: Number(meetings), most_new: Number(mostNew) }) && open(''));
  // What was left out of a computed order stays out of the next; an own order says nothing about a computed one.
  const chooseEmphasis = (/** @type {CourseDraft['emphasis']} */ emphasis) =>
    setDraft({ emphasis, signs: draft.emphasis === 'own' ? '' : signs, pins: [] });
  const options = /** @type {[CourseDraft['emphasis'], string][]} */ ([
    ...(course?.emphases ?? []).map(({ emphasis, title }) => [emphasis, title]), ['own', 'An order of your own'],
  ]);
  if (course === null) return html`<${Dialog} title="The course"><p class="soft">Working the order out …</p><//>`;
  return html`<${Dialog} title="The course">
    <form class="course" onSubmit=${choose}>
      <${Choice} label="What the order leans on" value=${draft.emphasis} options=${options} onChoose=${chooseEmphasis} />
      <p class="help">${about?.summary ?? 'Paste it, or move the sounds below.'}</p>
      ${draft.emphasis !== 'own' && html`<${Choice} label="What the course covers" value=${extentOf(course.extents, draft.signs || signs)}
        options=${course.extents.map(({ title }) => [title, title])}
        onChoose=${(/** @type {string} */ title) => setDraft(covering(draft, course.extents, title))} />`}
      ${draft.emphasis === 'own' && html`<${OwnOrder} signs=${signs} onChange=${(/** @type {string} */ own) =>
        setDraft({ emphasis: 'own', signs: own, pins: [] })} />`}
      <${CourseOrder} order=${order} isOwn=${draft.emphasis === 'own'}
        onMove=${(/** @type {string} */ sign, /** @type {number} */ place) => setDraft(movedInCourse(draft, signs, sign, place))}
        onPin=${(/** @type {string} */ sign) => setDraft(pinnedOrNot(draft, signs, sign))}
        onDrop=${(/** @type {string} */ sign) => setDraft(withoutSign(draft, signs, sign))} />
      <${LeftOut} all=${course?.all_signs ?? ''} signs=${signs}
        onTake=${(/** @type {string} */ sign) => setDraft({ ...draft, signs: signs + sign })} />
      <div class="course-end">
        <label class="inline-field">Meetings in all
          <input class="input" type="number" inputmode="numeric" required min="1" max="200" value=${meetings}
            onInput=${typed(setMeetings)} /></label>
        <label class="inline-field">New sounds an evening
          <input class="input" type="number" inputmode="numeric" min="1" max="8" value=${mostNew} placeholder="as needed"
            onInput=${typed(setMostNew)} /></label>
        <p class="objection" role="status">${tooShort(signs, known, Number(meetings) - course.held, Number(mostNew) || course.most_new)}</p>
        <p class="help">What is known stays known. Tonight’s steps stay until you plan again.</p>
        <button type="submit" class="button" data-kind="primary" disabled=${order.length === 0}>Choose this course</button>
      </div>
    </form>
  <//>`;
}

/** Ask for the order whenever the draft changes. @param {CourseDraft} draft */
function useOrderOf(draft) {
  const { send } = useDesk();
  const connection = useConsole((state) => state.connection);
  const isEmpty = draft.emphasis === 'own' && draft.signs === '';
  useLater(() => send('show_course', draft), connection !== 'connected' || isEmpty ? null : ASK_AFTER_MS, [JSON.stringify(draft), connection]);
}

/** @param {{ signs: string, onChange: (signs: string) => void }} props */
function OwnOrder({ signs, onChange }) {
  const [unknown, setUnknown] = useState(/** @type {string[]} */ ([]));
  const first = useRef(signs); // the area is the instructor's; what is moved below does not rewrite it under the fingers
  const read = typed((text) => {
    const order = readOrder(text);
    setUnknown(order.unknown);
    onChange(order.signs);
  });
  return html`<div class="field">
    <label for="own-order">Your order</label>
    <textarea id="own-order" class="input" data-for="signs" rows="2" maxlength="400" spellcheck=${false}
      onInput=${read}>${orderAsText(first.current)}</textarea>
    <p class="help">Joined signals: their letters, each with an overline.</p>
    ${unknown.length > 0 && html`<p class="objection">Not a sound: ${unknown.join(' ')}</p>`}
  </div>`;
}

/** @param {{ all: string, signs: string, onTake: (sign: string) => void }} props */
function LeftOut({ all, signs, onTake }) {
  const out = inTableOrder([...all].filter((sign) => !signs.includes(sign)));
  if (out.length === 0) return null;
  return html`<div class="left-out" role="group" aria-label="Left out">
    <span class="label">Left out</span>
    ${out.map((sign) => html`<button type="button" class="key" key=${sign} title="Take it in again"
      onClick=${() => onTake(sign)}><span class="unseen">Take in </span><${SignList} signs=${sign} /></button>`)}
  </div>`;
}
