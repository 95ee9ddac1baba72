/**
 * What the console knows and shows: a fold over what the server told and what the instructor chose. Pure.
 *
 * The server's parts (`room`, `seats`, `run`, `progress`, `table`) are kept as they came; everything that follows from
 * them, such as the phase at this moment, is a function below. What the instructor is composing is the `draft`.
 */

import { TEACHING_PARTS, NOTHING_TAUGHT, withTexts } from './plan.js';
import { COMPOSED, isShown, takesMany, takesOne } from './purposes.js';
import { tablesOf } from './tables.js';

/** @import { Teaching } from './plan.js' */
/** @import { CellOut, FindingsOut, ProgressOut, ProposalOut, RefusedOut, RoomOut } from '../wire.js' */
/** @import { RunDetail } from './moment.js' */
/** @import { SeatOut, SheetOut, TableOut, TablesBefore } from '../wire.js' */
/** @import { Tables } from './tables.js' */

/** @typedef {import('./purposes.js').Composed} Composed */

/**
 * @typedef {object} Draft
 * @property {Composed} purpose
 * @property {string} symbols  chosen signs
 * @property {number} count
 * @property {number} group
 * @property {string} text  the instructor's own text; "" for the other purposes
 * @property {boolean} named  learners see the name of what sounds; only where it is not counted
 * @property {boolean} counted
 * @property {number} seed
 * @property {import('../wire.js').ToServer['compose']['about']} about  of words
 */

/**
 * @typedef {object} TableChoice
 * @property {'run' | 'evening' | 'course'} scope
 * @property {'counts' | 'shares'} figures
 * @property {import('./orders.js').Order} order
 * @property {boolean} inPlayOnly
 */

/** A run within the one at hand, as far as it was told.
 * @typedef {{ run: RunDetail | null, progress: ProgressOut | null, table: TableOut | null }} PartAtHand */
/** @typedef {Readonly<Record<number, PartAtHand>>} PartsAtHand */

/**
 * @typedef {object} ConsoleState
 * @property {'connecting' | 'connected' | 'lost'} connection
 * @property {RoomOut | null} room
 * @property {readonly SeatOut[]} seats
 * @property {RunDetail | null} run
 * @property {ProgressOut | null} progress
 * @property {TableOut | null} tableNow  of the run at hand
 * @property {TablesBefore | null} tablesBefore
 * @property {Tables | null} table  the two together
 * @property {import('../wire.js').ExerciseOut | null} exercise  another exercise than copying, while it goes on
 * @property {string} alike  all signs, those that sound alike beside each other
 * @property {FindingsOut | null} findings
 * @property {CellOut | null} cell
 * @property {SheetOut | null} sheet
 * @property {ProposalOut | null} proposal
 * @property {Teaching} teaching  the course, the plan and the advice
 * @property {number} asked  proposals asked for and not yet answered
 * @property {string} objection  why the draft cannot be sent
 * @property {boolean} sending  the draft is on its way to the class
 * @property {Draft} draft
 * @property {PartsAtHand} parts  the runs within the one at hand, by number
 * @property {boolean} composing  the composer is open although a run stands there
 * @property {TableChoice} choice
 * @property {readonly { id: number, sentence: string }[]} notices
 * @property {number} nextNotice
 * @property {string} gone  why the room is no more
 * @property {number} soundTold  changes when this computer's own sound does
 * @property {string} dialog  the open dialog, "" for none
 * @property {number} dialogAbout  the number of the seat or the run that it is about
 */

/** @type {Draft} */
const FIRST_DRAFT = Object.freeze({
  purpose: 'meet', symbols: '', count: COMPOSED.meet.count, group: 5, text: '', named: true, counted: false, seed: 1, about: '',
});

/** @type {ConsoleState} */
export const EMPTY = Object.freeze({
  connection: 'connecting', room: null, seats: Object.freeze([]), run: null, progress: null, tableNow: null, tablesBefore: null, table: null, alike: '', exercise: null, parts: {}, findings: null,
  cell: null, sheet: null,
  proposal: null, teaching: NOTHING_TAUGHT, asked: 0, objection: '', sending: false, draft: FIRST_DRAFT, composing: false,
  choice: Object.freeze({ scope: 'run', figures: 'counts', order: 'alphabet', inPlayOnly: false }),
  notices: Object.freeze([]), nextNotice: 1, gone: '', soundTold: 0, dialog: '', dialogAbout: 0,
});

/**
 * @typedef {({ type: 'told' } & import('./messages.js').Told)
 *   | { type: 'connection', connection: ConsoleState['connection'] }
 *   | { type: 'drafted', change: Partial<Draft> }
 *   | { type: 'asked' }
 *   | { type: 'sending' }
 *   | { type: 'composing', on: boolean }
 *   | { type: 'chose', change: Partial<TableChoice> }
 *   | { type: 'noticed', sentence: string }
 *   | { type: 'dismissed', id: number }
 *   | { type: 'sound told' }
 *   | { type: 'teaching', change: Partial<Teaching> }
 *   | { type: 'dialog', dialog: string, about?: number }} ConsoleEvent
 */
/** @typedef {import('./store.js').Store<ConsoleState, ConsoleEvent>} ConsoleStore */

const MOST_NOTICES = 4;

/**
 * @param {ConsoleState} state
 * @param {ConsoleEvent} event
 * @returns {ConsoleState}
 */
export function reduce(state, event) {
  switch (event.type) {
    case 'told': return told(state, event);
    case 'connection': return { ...state, connection: event.connection, asked: 0, sending: false }; // no answer comes any more
    case 'drafted': return drafted(state, event.change);
    case 'asked': return { ...state, asked: state.asked + 1 };
    case 'sending': return { ...state, sending: true, objection: '' };
    case 'composing': return { ...state, composing: event.on };
    case 'chose': return { ...state, choice: { ...state.choice, ...event.change } };
    case 'noticed': return noticed(state, event.sentence);
    case 'dismissed': return { ...state, notices: state.notices.filter((notice) => notice.id !== event.id) };
    case 'teaching': return { ...state, teaching: { ...state.teaching, ...event.change } };
    case 'sound told': return { ...state, soundTold: state.soundTold + 1 };
    case 'dialog': return { ...state, dialog: event.dialog, dialogAbout: event.about ?? 0, cell: null, sheet: null };
  }
}

/** @param {ConsoleState} state @param {import('./messages.js').Told} message @returns {ConsoleState} */
function told(state, { name, payload }) {
  switch (name) {
    case 'room': return { ...state, room: payload };
    case 'seats': return { ...state, seats: payload.seats };
    case 'run': return withRun(state, /** @type {RunDetail | null} */ (payload.run));
    case 'progress': return payload.push in state.parts ? withPart(state, payload.push, { progress: payload }) : { ...state, progress: payload };
    case 'table': return payload.push in state.parts ? withPart(state, payload.push, { table: payload }) : withTables({ ...state, tableNow: payload });
    case 'tables_before': return withTables({ ...state, tablesBefore: payload });
    case 'alike': return { ...state, alike: payload.order };
    case 'exercise': return { ...state, exercise: payload.shown === null ? null : payload };
    case 'findings': return { ...state, findings: payload };
    case 'cell': return { ...state, cell: payload };
    case 'sheet': return { ...state, sheet: payload };
    case 'proposal': return { ...state, proposal: payload, asked: Math.max(0, state.asked - 1), objection: '' };
    case 'refused': return refused(state, payload);
    case 'removed': return { ...EMPTY, connection: state.connection, gone: payload.sentence };
    default: return TEACHING_PARTS.includes(name) ? { ...state, teaching: withTexts({ ...state.teaching, [name]: payload }) } : state;
  }
}

/** @param {ConsoleState} state @param {number} push @param {Partial<PartAtHand>} told @returns {ConsoleState} */
function withPart(state, push, told) {
  const known = state.parts[push] ?? { run: null, progress: null, table: null };
  return { ...state, parts: { ...state.parts, [push]: { ...known, ...told } } };
}

/** @param {ConsoleState} state @returns {ConsoleState} */
const withTables = (state) => ({ ...state, table: tablesOf(state.tableNow, state.tablesBefore) });

/** A run that was not here before takes the composer's place, and what was sent is not offered again; one that was cancelled
 * gives it back to the draft it came from.
 * @param {ConsoleState} state @param {RunDetail | null} run @returns {ConsoleState} */
function withRun(state, run) {
  if (run?.within) return withPart(state, run.push, { run });
  const [before, now] = [state.run?.push ?? 0, run?.push ?? 0];
  if (now === before) return { ...state, run };
  if (now < before) {
    const wasPlanned = state.teaching.plan?.steps.some(({ push }) => push === before) ?? false;
    return { ...state, run, parts: {}, composing: !wasPlanned };
  }
  const draft = state.sending ? { ...state.draft, seed: state.draft.seed + 1 } : state.draft;
  return { ...state, run, parts: {}, draft, composing: false, sending: false };
}

/** What is wrong with the draft stands beside the draft, until it is another one.
 * @param {ConsoleState} state @param {Partial<Draft>} change @returns {ConsoleState} */
function drafted(state, change) {
  const isOther = change.purpose !== undefined && change.purpose !== state.draft.purpose;
  return {
    ...state, draft: redrafted(state.draft, change, state.room?.symbols ?? ''),
    ...(isOther && { proposal: null, objection: '' }),
  };
}

/** A refusal stays with what caused it: the draft's in the composer, any other as a notice.
 * @param {ConsoleState} state @param {RefusedOut} told @returns {ConsoleState} */
function refused(state, { sentence, about }) {
  if (about === 'compose') return { ...state, asked: Math.max(0, state.asked - 1), proposal: null, objection: sentence };
  if (about === 'keep_words') return { ...state, objection: sentence };
  if (about === 'send_text' && state.sending) return { ...state, sending: false, objection: sentence };
  return noticed(state, sentence);
}

/** @param {ConsoleState} state @param {string} sentence @returns {ConsoleState} */
function noticed(state, sentence) {
  const notices = [...state.notices.filter((notice) => notice.sentence !== sentence), { id: state.nextNotice, sentence }];
  return { ...state, notices: notices.slice(-MOST_NOTICES), nextNotice: state.nextNotice + 1 };
}

/**
 * The draft after a change. A new purpose brings its usual length, and the known sounds where it needs more than one.
 * @param {Draft} draft
 * @param {Partial<Draft>} change
 * @param {string} known
 * @returns {Draft}
 */
function redrafted(draft, change, known) {
  const next = { ...draft, ...change };
  const { purpose } = next;
  if (purpose !== draft.purpose) {
    next.count = COMPOSED[purpose].count;
    next.counted = !isShown(purpose);
    if (change.symbols === undefined && takesMany(purpose)) next.symbols = known;
    if (purpose !== 'own') next.text = '';
  }
  if (takesOne(purpose)) next.symbols = next.symbols.slice(-1);
  return next;
}

/**
 * What `compose` and `send_text` carry of a draft.
 * @param {Draft} draft
 */
export function composed({ purpose, symbols, count, group, text, seed, about }) {
  return { purpose, symbols, count, group, text: purpose === 'own' ? text : '', seed, about: purpose === 'words' ? about : '' };
}

/** A few short sounds for the whole room, as `send_text` carries them. */
export const SOUND_CHECK = Object.freeze({
  ...composed({ ...FIRST_DRAFT, purpose: 'listen', count: COMPOSED.listen.count }), name_shown: true, counted: false,
});

/** Whether a draft has what its purpose needs. @param {Draft} draft */
export function isComplete({ purpose, symbols, text }) {
  if (purpose === 'listen') return true;
  if (purpose === 'own') return text.trim() !== '';
  return purpose === 'apart' ? symbols.length > 1 : symbols.length > 0;
}
