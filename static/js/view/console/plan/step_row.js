/** One line of the evening: a step, or several alike, with what can be done to it when it is opened. */
import { html, useEffect, useId, useRef } from '../../../../vendor/preact.js';
import { copiedOf, minutesInWords, minutesOf, nextOf, stillToDo, unmetIn, sendsNothing } from '../../../core/plan.js';
import { percent } from '../../../core/units.js';
import { SentText, SignList } from '../signs.js';
import { Asides, SetAsideButton } from '../aside.js';
import { useConsole } from '../desk.js';
import { ExercisePlan } from '../../parts/exercise.js';

/** @import { Step, StepLine } from '../../../core/plan.js' */

/**
 * What a line can ask for.
 * @typedef {object} StepDeeds
 * @property {(step: Step) => void} send  or mark as done, where nothing is sent
 * @property {(ids: number[], by: -1 | 1) => void} move
 * @property {(ids: number[], place: number[]) => void} moveTo  the place of another line
 * @property {(ids: number[], title: string) => void} drop
 * @property {(key: string) => void} open
 */

/**
 * @param {object} props
 * @param {StepLine} props.line
 * @param {number} props.number  its place in the evening
 * @param {'done' | 'now' | 'next' | 'later'} props.state
 * @param {boolean} props.isOpen
 * @param {boolean} props.sounding
 * @param {boolean} props.isFree  nothing is on its way to the class
 * @param {import('../../../../vendor/preact/preact.js').ComponentChildren} [props.action]  the button of the next step
 * @param {StepDeeds} props.deeds
 * @param {number[]} props.dragged  the steps that are being dragged, of whichever line
 * @param {(ids: number[]) => void} props.onDrag
 */
export function StepRow({ line, number, state, isOpen, sounding, isFree, action, deeds, dragged, onDrag }) {
  const runs = useConsole((console) => console.room?.runs ?? []);
  const known = useConsole((console) => console.room?.symbols ?? '');
  const id = useId();
  const item = useRef(/** @type {HTMLElement | null} */ (null));
  const isAtHand = state === 'now' || state === 'next';
  useEffect(() => {
    if (isAtHand && item.current !== null) bringIntoColumn(item.current);
  }, [isAtHand, sounding]);
  const left = stillToDo(line.steps);
  const ids = left.map(({ step }) => step);
  const { right, of } = copiedOf(line.steps, runs);
  const onKeyDown = (/** @type {KeyboardEvent} */ event) => {
    if (ids.length === 0) return;
    if (event.altKey && event.key === 'ArrowUp') deeds.move(ids, -1);
    else if (event.altKey && event.key === 'ArrowDown') deeds.move(ids, 1);
    else if (event.key === 'Delete') deeds.drop(ids, line.title);
    else return;
    event.preventDefault();
  };
  const drag = { ...dragging(ids, dragged, onDrag, deeds.moveTo), ...(isOpen && { draggable: false }) }; // its text can be selected;
  return html`<li class="run step" ref=${item} ...${drag} data-state=${state} data-now=${state === 'now' || (state === 'next' && action) ? '' : undefined}
      aria-current=${state === 'now' ? 'step' : undefined}>
    <span class="mark" aria-hidden="true">${mark(state, number, sounding)}</span>
    <button type="button" class="what step-head" aria-expanded=${isOpen ? 'true' : 'false'} aria-controls=${id}
      aria-keyshortcuts=${ids.length > 0 ? 'Alt+ArrowUp Alt+ArrowDown Delete' : undefined}
      onClick=${() => deeds.open(line.key)} onKeyDown=${onKeyDown}>
      <span class="name">${line.title}${line.steps.length > 1 && html` <span class="times">×\u2009${line.steps.length}</span>`}</span>
      <span class="soft">${describe(line, left, state)}${unmetWords(left, state, known)}<span class="unseen">, ${state}</span></span>
    </button>
    <span class="share">${of > 0 && html`<span title=${`${right} of ${of} right`}>${percent(right / of)} %</span>`}</span>
    ${line.steps[0].kind !== '' && html`<${ExercisePlan} kind=${line.steps[0].kind} setup=${line.steps[0].setup} />`}
    ${action}
    <div class="step-more" id=${id} hidden=${!isOpen}>
      ${isOpen && html`<${More} line=${line} left=${left} ids=${ids} deeds=${deeds} canJump=${isFree && state === 'later'} />`}
    </div>
  </li>`;
}

/**
 * What makes a line something to be dragged, and a place to drop another on.
 * @param {number[]} ids  of its steps still to do
 * @param {number[]} dragged
 * @param {(ids: number[]) => void} onDrag
 * @param {StepDeeds['moveTo']} moveTo
 */
function dragging(ids, dragged, onDrag, moveTo) {
  if (ids.length === 0) return {};
  const isOther = dragged.length > 0 && !dragged.includes(ids[0]);
  return {
    draggable: true,
    'data-dragged': dragged.includes(ids[0]) ? '' : undefined,
    onDragStart: (/** @type {DragEvent} */ event) => {
      event.dataTransfer?.setData('text/plain', ''); // without data some browsers drag nothing
      onDrag(ids);
    },
    onDragEnd: () => onDrag([]),
    onDragOver: (/** @type {DragEvent} */ event) => isOther && event.preventDefault(),
    onDrop: (/** @type {DragEvent} */ event) => {
      event.preventDefault();
      onDrag([]);
      if (isOther) moveTo(dragged, ids);
    },
  };
}

/** Scroll the column and never the page: on a phone the column does not scroll, and nothing happens. @param {HTMLElement} item */
function bringIntoColumn(item) {
  const column = item.closest('.evening');
  if (column === null) return;
  const [row, frame] = [item.getBoundingClientRect(), column.getBoundingClientRect()];
  if (row.bottom > frame.bottom) column.scrollTop += row.bottom - frame.bottom;
  if (row.top < frame.top) column.scrollTop -= frame.top - row.top;
}

/** @param {string} state @param {number} number @param {boolean} sounding */
function mark(state, number, sounding) {
  if (state === 'done') return '✓';
  if (state === 'later') return html`<span class="soft">${number}</span>`;
  return html`<span class="dot" data-is=${state === 'now' && sounding ? 'now' : ''}></span>`;
}

/** @param {StepLine} line @param {Step[]} left @param {string} state */
function describe({ steps, title }, left, state) {
  const [first] = steps;
  const done = steps.length - left.length;
  const minutes = minutesInWords(minutesOf(left.length > 0 ? left : steps));
  if (sendsNothing(first)) return first.push < 0 ? 'done' : minutes;
  if (first.purpose === 'together') return minutes;
  if (first.purpose === 'meet') return `by ear, ${first.sounds} sounds, ${minutes}`;
  if (done > 0 && left.length > 0 && state === 'now') return `${done} of ${steps.length}, ${minutes} after it`;
  if (done > 0 && left.length > 0) return `${done} of ${steps.length} done, ${minutes} left`;
  if (first.symbols.length <= 8) return html`<${SignList} signs=${first.symbols} />, ${minutes}`;
  const counted = `${first.symbols.length} sounds`;
  return title.includes(counted) ? minutes : `${counted}, ${minutes}`;
}

/** What the next step asks for that nobody has met yet; a step that introduces it is there for that.
 * @param {Step[]} left @param {string} state @param {string} known */
function unmetWords([first], state, known) {
  if (state !== 'next' || first === undefined || first.purpose === 'meet') return '';
  const unmet = unmetIn(first.symbols, known);
  return unmet.length === 0 ? '' : html`, not met yet: <${SignList} signs=${unmet.join('')} />`;
}

/** @param {{ line: StepLine, left: Step[], ids: number[], deeds: StepDeeds, canJump: boolean }} props */
function More({ line, left, ids, deeds, canJump }) {
  const next = nextOf(left) ?? line.steps[line.steps.length - 1];
  const sent = line.steps.filter(({ push }) => push > 0);
  return html`<p>${next.reason}</p>
    ${sent.map(({ push, title }) => html`<${Asides} key=${`aside ${push}`} push=${push} />
      <${SetAsideButton} key=${push} push=${push} title=${title} />`)}
    ${next.text !== '' && html`<p class="step-text"><${SentText} text=${next.text} /></p>
      <p class="soft">${next.sounds} sounds${line.steps.length > 1 ? ' in each' : ''}</p>`}
    ${ids.length > 0 && html`<div class="step-tools" role="group" aria-label=${`Change ${line.title}`}>
      <button type="button" class="button" data-size="small" title="Alt and arrow up" onClick=${() => deeds.move(ids, -1)}>Earlier</button>
      <button type="button" class="button" data-size="small" title="Alt and arrow down" onClick=${() => deeds.move(ids, 1)}>Later</button>
      ${ids.length > 1 && html`<button type="button" class="button" data-size="small"
        onClick=${() => deeds.drop(ids.slice(-1), line.title)}>One less</button>`}
      <button type="button" class="button" data-size="small" title="Delete" onClick=${() => deeds.drop(ids, line.title)}>Drop</button>
      ${canJump && html`<button type="button" class="button" data-size="small" data-sends=${sendsNothing(next) ? undefined : ''}
        onClick=${() => deeds.send(next)}>${sendsNothing(next) ? 'Done now' : 'Send now'}</button>`}
    </div>`}`;
}
