/**
 * The exercise at hand, drawn by its own file: static/js/exercises/<kind>.js has a view for each page. What the server
 * shows of it is handed on as it came; no page knows a kind by name.
 */
import { html, useEffect, useState } from '../../../vendor/preact.js';

/** @typedef {import('../../wire.js').ExerciseOut} ExerciseOut */
/** @typedef {'Learner' | 'Console' | 'Wall'} For  the page that it is drawn for */
/**
 * What every view gets beside `shown`. `sheet`: the learner's own sheet, where they copy in it; `detail`, `parts`, `seats`: the
 * console's, the run itself, the runs within it with their tables, and who is here.
 * @typedef {object} Given
 * @property {number} run
 * @property {() => number} roomMs
 * @property {import('../../core/messages.js').Send} [send]
 * @property {number} [seat]
 * @property {unknown} [sheet]
 * @property {import('../../core/moment.js').RunDetail | null} [detail]
 * @property {import('../../core/console_state.js').PartsAtHand} [parts]
 * @property {readonly import('../../wire.js').SeatOut[]} [seats]
 */
/** @typedef {(props: Given & { shown: unknown }) => unknown} View */
/** Where the instructor chooses; `setup` is what the kind's own file makes of it, null until it can begin.
 * @typedef {(props: { setup: Setup | null, change: (setup: Setup | null) => void }) => unknown} SetUp */
/** @typedef {Record<string, unknown>} Setup */
/** In the evening's plan, under its name: what else is to be said of it. @typedef {(props: { setup: Setup }) => unknown} Plan */
/** The console's heading: whose turn it is, in a sentence. @typedef {(props: Given & { shown: unknown }) => unknown} Title */
/** @typedef {Record<For, View> & { SetUp?: SetUp, Plan?: Plan, Title?: Title }} File */

/** @type {Map<string, Promise<File>>} */
const files = new Map();

/** @param {string} kind @returns {Promise<File>} */
function fileOf(kind) {
  const known = files.get(kind);
  if (known !== undefined) return known;
  /** @type {Promise<File>} */
  const file = import(`../../exercises/${kind}.js`);
  styled(kind);
  files.set(kind, file);
  return file;
}

/** Its own style, beside its own script. @param {string} kind  or what several kinds share */
export function styled(kind) {
  const link = document.createElement('link');
  link.rel = 'stylesheet';
  link.href = new URL(`../../exercises/${kind}.css`, import.meta.url).href;
  document.head.append(link);
}

/**
 * A kind's file once it is here; null until then, and where it cannot be had.
 * @param {string} kind
 */
function useFile(kind) {
  const [here, setHere] = useState(/** @type {{ kind: string, file: File } | null} */ (null));
  useEffect(() => {
    let wanted = true;
    fileOf(kind).then((file) => wanted && setHere({ kind, file }), () => files.delete(kind));
    return () => {
      wanted = false;
    };
  }, [kind]);
  return here?.kind === kind ? here.file : null;
}

/** @param {Omit<Given, 'run'> & { exercise: ExerciseOut, page: For }} props */
export function Exercise({ exercise: { kind, run, shown }, page, ...given }) {
  const file = useFile(kind);
  if (file === null) return html`<main role="status"><h1>One moment …</h1></main>`;
  return html`<${file[page]} key=${run} shown=${shown} run=${run} ...${given} />`;
}

/** Whose turn it is; what it is called, where it has no turns. @param {Omit<Given, 'run'> & { exercise: ExerciseOut, called: string }} props */
export function ExerciseTitle({ exercise: { kind, run, shown }, called, ...given }) {
  const file = useFile(kind);
  if (file?.Title === undefined) return called;
  return html`<${file.Title} shown=${shown} run=${run} ...${given} /> <small class="soft">${called}</small>`;
}

/** @param {{ kind: string, setup: Setup }} props */
export function ExercisePlan({ kind, setup }) {
  const file = useFile(kind);
  return file?.Plan === undefined ? null : html`<${file.Plan} setup=${setup} />`;
}

/** A page for whoever has never led one. @param {{ kind: string }} props */
export const HowItGoes = ({ kind }) => html`<a href=${`/static/guide/${kind}.html`} target="_blank" rel="noopener">How it goes</a>`;

/** @param {{ kind: string } & Parameters<SetUp>[0]} props */
export function ExerciseSetUp({ kind, ...given }) {
  const file = useFile(kind);
  if (file?.SetUp === undefined) return null;
  return html`<${file.SetUp} key=${kind} ...${given} />`;
}
