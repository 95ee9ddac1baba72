/**
 * The evening's plan as the console shows it: what was sent in the order of time, what is still to do, and how an order
 * is changed. Pure.
 */
import { EXERCISES, PURPOSES } from '../wire.js';
import { isClosed } from './moment.js';

/** @import { AdviceOut, ChoiceOut, CourseOut, CourseProgressOut, PlanOut, PlanTexts, ReviewOut } from '../wire.js' */
/** @import { RunSummary, StepOut } from '../wire.js' */

/** A step with what it sends; "" where it sends nothing. @typedef {StepOut & { text: string }} Step */
/** @typedef {Omit<PlanOut, 'steps'> & { steps: Step[] }} Plan */

/**
 * What the console knows of the course and the evening.
 * @typedef {object} Teaching
 * @property {Plan | null} plan
 * @property {PlanTexts | null} plan_texts  told apart, since they seldom change
 * @property {AdviceOut | null} advice
 * @property {CourseOut | null} course  the order last asked for
 * @property {ReviewOut | null} review  the calendar last asked for
 * @property {CourseProgressOut | null} course_progress
 * @property {{ of: 'sounds' | 'learners' | 'speeds', key: string }} progressChoice  what is looked at, and printed; key "": all
 * @property {number} advicePutAway  the run whose advice the instructor has put away
 */

/** @type {Teaching} */
export const NOTHING_TAUGHT = Object.freeze({
  plan: null, plan_texts: null, advice: null, course: null, review: null, course_progress: null,
  progressChoice: Object.freeze({ of: /** @type {const} */ ('sounds'), key: '' }), advicePutAway: 0,
});

/** The parts of the teaching that the server tells. */
export const TEACHING_PARTS = Object.freeze(['plan', 'plan_texts', 'advice', 'course', 'review', 'course_progress']);

/** The plan's steps with their texts. @param {Teaching} teaching @returns {Teaching} */
export function withTexts(teaching) {
  if (teaching.plan === null) return teaching;
  const texts = teaching.plan_texts?.texts ?? {};
  return { ...teaching, plan: { ...teaching.plan, steps: teaching.plan.steps.map((step) => ({ ...step, title: EXERCISES[step.kind]?.title ?? step.title, text: texts[step.step] ?? '' })) } };
}

const MINUTE_MS = 60_000;

/** Steps for one purpose, called the same, that follow each other are one line of the evening.
 * @typedef {{ is: 'steps', key: string, purpose: Step['purpose'], title: string, steps: Step[] }} StepLine */
/** A run that was sent beside the plan. @typedef {{ is: 'run', key: string, run: RunSummary }} RunLine */
/** @typedef {StepLine | RunLine} Line */

/** A breather, or the end: it is done without a sound. @param {Pick<Step, 'purpose'>} step */
export const sendsNothing = ({ purpose }) => PURPOSES[purpose].silent;

/** @param {readonly Step[]} steps @returns {Step[]} */
export const stillToDo = (steps) => steps.filter(({ push }) => push === 0);

/** @param {readonly Step[]} steps @returns {Step | undefined} */
export const nextOf = (steps) => steps.find(({ push }) => push === 0);

/**
 * The evening from its first run to its last step.
 * @param {readonly Step[]} steps
 * @param {readonly RunSummary[]} runs
 * @returns {Line[]}
 */
export function timeline(steps, runs) {
  const planned = new Set(steps.map(({ push }) => push));
  const beside = runs.filter(({ push }) => !planned.has(push));
  /** @type {Line[]} */
  const lines = [];
  for (const step of inTime(steps)) {
    while (step.at > (beside[0]?.push ?? Infinity)) addRun(lines, /** @type {RunSummary} */ (beside.shift()));
    addStep(lines, step.step);
  }
  for (const run of beside) addRun(lines, run);
  for (const step of stillToDo(steps)) addStep(lines, step);
  return lines;
}

/** What is done, in the order of its runs; a step without sound stands where it was planned.
 * @param {readonly Step[]} steps */
function inTime(steps) {
  let last = 0;
  const done = steps.filter(({ push }) => push !== 0).map((step) => {
    last = step.push > 0 ? step.push : last;
    return { step, at: last };
  });
  return done.sort((a, b) => a.at - b.at);
}

/** @param {Line[]} lines @param {RunSummary} run */
function addRun(lines, run) {
  lines.push({ is: 'run', key: `run ${run.push}`, run });
}

/** @param {Line[]} lines @param {Step} step */
function addStep(lines, step) {
  const last = lines.at(-1);
  if (last?.is === 'steps' && !step.kind && last.purpose === step.purpose && last.title === step.title) last.steps.push(step);
  else lines.push({ is: 'steps', key: `step ${step.step}`, purpose: step.purpose, title: step.title, steps: [step] });
}

/** The steps still to do by number, line by line. @param {readonly Step[]} steps */
const linesToDo = (steps) =>
  timeline(stillToDo(steps), []).map((line) => (line.is === 'steps' ? line.steps.map(({ step }) => step) : []));

/**
 * The order of what is still to do after a line of it has gone one line up (-1) or down (1).
 * @param {readonly Step[]} steps
 * @param {readonly number[]} ids  steps of one line
 * @param {-1 | 1} by
 * @returns {number[]}
 */
export function moved(steps, ids, by) {
  const lines = linesToDo(steps);
  return movedTo(steps, ids, lines[lines.findIndex((line) => line.some((step) => ids.includes(step))) + by] ?? ids);
}

/**
 * The order of what is still to do after a line has taken the place of another.
 * @param {readonly Step[]} steps
 * @param {readonly number[]} ids  steps of one line
 * @param {readonly number[]} place  steps of the other
 * @returns {number[]}
 */
export function movedTo(steps, ids, place) {
  const lines = linesToDo(steps);
  const [from, to] = [ids, place].map((some) => lines.findIndex((line) => line.some((step) => some.includes(step))));
  if (from >= 0 && to >= 0) lines.splice(to, 0, ...lines.splice(from, 1));
  return lines.flat();
}

/** The order of what is still to do without these. @param {readonly Step[]} steps @param {readonly number[]} ids */
export const without = (steps, ids) => stillToDo(steps).map(({ step }) => step).filter((step) => !ids.includes(step));

/** @param {readonly Step[]} steps */
export const minutesOf = (steps) => steps.reduce((sum, { seconds }) => sum + seconds, 0) / 60;

/**
 * What is left of the planned minutes; they begin with the first step.
 * @param {Plan} plan
 * @param {number} roomMs
 */
export function minutesLeft({ minutes, begun_room_ms: begun }, roomMs) {
  if (begun === null || Number.isNaN(roomMs)) return minutes;
  return Math.max(0, minutes - (roomMs - begun) / MINUTE_MS);
}

/** Right and sent over the runs of some steps. @param {readonly Step[]} steps @param {readonly RunSummary[]} runs */
export function copiedOf(steps, runs) {
  const own = runs.filter(({ push }) => push > 0 && steps.some((step) => step.push === push));
  return { right: own.reduce((sum, run) => sum + run.right, 0), of: own.reduce((sum, run) => sum + run.of, 0) };
}

/** Whether a run leaves the class free for the next one.
 * @param {string} phase @param {{ counted: boolean } | null} run */
export const isFree = (phase, run) =>
  run === null || isClosed(phase) || (phase === 'waiting' && !run.counted);

/** Minutes in words that nobody has to read twice. @param {number} minutes */
export function minutesInWords(minutes) {
  return minutes < 0.75 ? 'under a minute' : `${Math.round(minutes)} min`;
}

/** Whether a choice of the advice is sent at once; an introduction waits in the plan, because the instructor speaks first.
 * @param {ChoiceOut} choice */
export const isSentAtOnce = ({ introduce }) => introduce === '';

/** Those signs of a text that are not among the known ones. @param {string} text @param {string} known */
export const unmetIn = (text, known) => [...new Set(text)].filter((sign) => sign !== ' ' && !known.includes(sign));

/** What a choice of the advice does, in the words of its button. @param {ChoiceOut} choice @param {(sign: string) => string} plainly */
export function wordsFor({ action, introduce, symbols, about, named: isNamed, sounds }, plainly) {
  const named = (/** @type {string} */ signs) => [...signs].map(plainly).join(', ');
  if (introduce !== '') return `Plan next: meet ${named(introduce)}`;
  if (isNamed) return `Send now: named rounds on ${named(about || symbols)}`;
  if (action === 'contrast') return `Send now: ${named(symbols)} apart, ${sounds} sounds`;
  if (action === 'go back') return `Send now: back to ${[...symbols].length} sounds`;
  if (action === 'ask') return `Send now: all ${[...symbols].length} sounds, to see what is known`;
  if (action === 'faster') return `Send now: ${sounds} sounds, at the speed that is set`;
  if (about !== '') return `Send now: more of ${named(about)}, ${sounds} sounds`;
  return `Send now: once more, ${sounds} sounds`;
}
