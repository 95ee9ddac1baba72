/**
 * What a learner's page knows: a fold over what the server told, what the learner did and how the device stands. Pure.
 * Which screen that makes, at one moment of room time, is `screenAt`.
 */
import { grouped, signOf, signsOf, written } from './copy.js';
import { isClosed, phaseAt, withMore } from './moment.js';

/** @import { ToBrowser, Told } from './messages.js' */
/** @import { Mark } from './copy.js' */
/** @import { ClassOut, ExerciseOut, Key, RevealOut, ReviewOut, WelcomeOut } from '../wire.js' */
/** @import { Pushed } from './moment.js' */
/** What ended the sound, for now or for good. @typedef {ToBrowser['halt']} Halt */
/** @typedef {'typing' | 'paper'} Way */
/** @typedef {'join' | 'door' | 'sound' | 'way' | 'ready' | 'meeting' | 'run' | 'paper' | 'closed' | 'reveal' | 'gone' |
 *   'until next time' | 'exercise' | 'elsewhere'} Screen */

/**
 * @typedef {object} Learner
 * @property {'connecting' | 'connected' | 'lost'} connection
 * @property {'' | 'joining' | 'returning'} asking  a join on its way, for a new seat or an old one
 * @property {string} code
 * @property {{ number: number, name: string, token: string, inside: boolean } | null} seat
 * @property {ClassOut | null} class
 * @property {boolean} testMode
 * @property {boolean} soundDone  the sound check is behind us
 * @property {boolean} wayDone  typing or paper was chosen on this device
 * @property {Way} way
 * @property {Pushed | null} push
 * @property {Halt | null} halt
 * @property {boolean} closed
 * @property {Way} copyWay  the way of the open copy: `way` holds from the next run on
 * @property {readonly Mark[]} marks
 * @property {boolean} handedIn
 * @property {number | null} place  the mark chosen in the tidy-up time; null is the end of the copy
 * @property {boolean} inserting
 * @property {RevealOut | null} reveal
 * @property {ExerciseOut | null} exercise  another exercise than copying, while it goes on
 * @property {ReviewOut | null} review  given by the instructor, and not put away
 * @property {'locked' | 'running' | 'suspended' | 'interrupted' | 'closed'} audio
 * @property {boolean} askedHelp  the instructor sees that nothing can be heard
 * @property {{ sentence: string, n: number }} word  a quiet word; `n` tells one from the same one again
 * @property {string} gone  why this seat is no more
 * @property {boolean} elsewhere  another page of this browser holds the seat
 */

/** @type {Learner} */
export const NEW = Object.freeze({
  connection: 'connecting', asking: '', code: '', seat: null, class: null, testMode: false, soundDone: false,
  wayDone: false, way: 'typing', push: null, halt: null, closed: false, copyWay: 'typing', marks: [], handedIn: false,
  place: null, inserting: false, reveal: null, exercise: null, review: null, audio: 'locked', askedHelp: false, word: { sentence: '', n: 0 },
  gone: '', elsewhere: false,
});

/**
 * @typedef {(
 *   | { type: 'told', waiting?: readonly Key[] } & Told
 *   | { type: 'wrote', keys: readonly Key[] }
 *   | { type: 'chose_place', place: number | null }
 *   | { type: 'said', sentence: string }
 *   | { type: 'set', changed: Partial<Learner> }
 *   | { type: 'left' }
 * )} Action  `waiting`: strokes of the pushed copy that the server does not hold yet
 */
/** @typedef {import('./store.js').Store<Learner, Action>} LearnerStore */

/** @param {Learner} state @param {Action} action @returns {Learner} */
export function reduce(state, action) {
  switch (action.type) {
    case 'told':
      return told(state, action.name, action.payload, action.waiting ?? []);
    case 'wrote':
      return { ...state, ...afterKeys(state, action.keys), handedIn: false, word: silenced(state.word) };
    case 'chose_place':
      return { ...state, place: action.place, inserting: action.place !== null && state.inserting };
    case 'said':
      return withWord(state, action.sentence);
    case 'set':
      return { ...state, ...action.changed };
    case 'left':
      return { ...NEW, connection: state.connection, audio: state.audio, code: state.code };
    default:
      return state;
  }
}

/**
 * @template {keyof ToBrowser} Name
 * @param {Learner} state
 * @param {Name} name
 * @param {ToBrowser[Name]} payload
 * @param {readonly Key[]} waiting
 */
const told = (state, name, payload, waiting) => TOLD[name]?.(state, payload, waiting) ?? state;

/** @type {{ [Name in keyof ToBrowser]?: (state: Learner, payload: ToBrowser[Name], waiting: readonly Key[]) => Learner }} */
const TOLD = {
  welcome: welcomed,
  class: (state, payload) => ({ ...state, class: payload }),
  push: (state, payload) => ({ ...state, ...pushed(state, /** @type {Pushed} */ (payload)) }),
  halt: (state, payload) => (payload.push === state.push?.push ? halted(state, payload) : state),
  more: (state, more) => (state.push?.push === more.push ? { ...state, push: withMore(state.push, more) } : state),
  shift: (state, { push, shifts }) =>
    (state.push !== null && state.push.push === push
      ? { ...state, halt: null, handedIn: false, push: { ...state.push, shifts } } : state),
  handed_in: (state, { push }) => (state.push?.push === push ? { ...state, handedIn: true } : state),
  closed: (state, { push }) => (state.push?.push === push ? { ...state, closed: true } : state),
  reveal: (state, payload) =>
    (payload.push === state.push?.push ? { ...state, closed: true, reveal: payload } : state),
  review: (state, payload) => ({ ...state, review: payload }),
  exercise: (state, payload) => ({ ...state, exercise: payload.shown === null ? null : payload, review: null }),
  help: (state, { asks }) => ({ ...state, askedHelp: asks }),
  renamed: (state, { name }) => (state.seat ? { ...state, seat: { ...state.seat, name } } : state),
  removed: (state, { sentence }) => ({ ...state, gone: sentence, push: null }),
  refused: (state, { sentence }) =>
    withWord({ ...state, asking: state.seat === null ? '' : state.asking }, sentence),
};

/** @param {Learner} state @param {Pushed} push @returns {Partial<Learner>} */
function pushed(state, push) {
  return {
    push, halt: null, closed: false, copyWay: state.way, marks: [], handedIn: false, place: null, inserting: false,
    reveal: null, review: null, word: silenced(state.word),
  };
}

/** Stopped before its first sound a run is as if it had not been sent.
 * @param {Learner} state @param {Halt} halt @returns {Learner} */
function halted(state, halt) {
  const { push } = state;
  const hasBegun = push?.edges.length === 0 ? halt.at_room_ms >= push.start_room_ms : halt.sent > 0;
  const cancelled = halt.for_good && !hasBegun;
  return { ...state, push: cancelled ? null : push, halt: cancelled ? null : halt, word: silenced(state.word) };
}

/**
 * @param {Learner} state
 * @param {WelcomeOut} welcome
 * @param {readonly Key[]} waiting
 * @returns {Learner}
 */
function welcomed(state, welcome, waiting) {
  const { copy, code, reveal, exercise, review, way } = welcome;
  const push = /** @type {Pushed | null} */ (welcome.push);
  const same = push !== null && state.push?.push === push.push;
  const held = (copy?.marks ?? []).map(([sign, at_ms]) => /** @type {Mark} */ ({ sign, at_ms }));
  const marks = waiting.reduce(written, /** @type {readonly Mark[]} */ (held));
  return {
    ...state,
    asking: '', gone: '', code, class: welcome.class, testMode: welcome.test_mode ?? false, way,
    seat: { number: welcome.seat, name: welcome.name, token: welcome.token, inside: welcome.inside },
    push, halt: haltOf(push), closed: isClosed(push?.phase), reveal, exercise: exercise ?? null, review, askedHelp: welcome.asks_help,
    copyWay: copy?.way ?? way, marks,
    handedIn: (copy?.handed_in ?? false) || (same && state.handedIn),
    place: same && state.place !== null && state.place < marks.length ? state.place : null,
    word: state.seat === null ? silenced(state.word) : state.word,
  };
}

/** @param {Pushed | null} push @returns {Halt | null} */
function haltOf(push) {
  if (push === null || push.halted_room_ms === null) return null;
  return { push: push.push, at_room_ms: push.halted_room_ms, for_good: push.phase !== 'paused', sent: push.sent };
}

/** Marks and chosen place after strokes. @param {Learner} state @param {readonly Key[]} keys */
function afterKeys({ marks, place }, keys) {
  const next = keys.reduce(written, marks);
  const last = keys[keys.length - 1];
  if (place === null) return { marks: next, place };
  if (last?.before !== undefined) return { marks: next, place: place + 1 };
  return { marks: next, place: place < next.length ? place : null };
}

/** @param {Learner} state @param {string} sentence @returns {Learner} */
const withWord = (state, sentence) => ({ ...state, word: { sentence, n: state.word.n + 1 } });

/** @param {Learner['word']} word */
const silenced = (word) => (word.sentence === '' ? word : { sentence: '', n: word.n });

/**
 * The run at hand. A copy is tidied up whether it counts or not.
 * @param {Learner} state
 * @returns {(Pushed & import('./moment.js').Run) | null}
 */
export function runOf({ push, halt, closed }) {
  if (push === null) return null;
  const phase = halt === null ? 'counting in' : halt.for_good ? 'tidying' : 'paused';
  return {
    ...push, counted: true, phase: closed ? 'closed' : phase, halted_room_ms: halt?.at_room_ms ?? null,
    sent: halt?.for_good ? halt.sent : push.sounds,
  };
}

/**
 * @param {Learner} state
 * @returns {Screen}
 */
export function screenOf(state) {
  if (state.elsewhere) return 'elsewhere';
  if (state.gone !== '') return 'gone';
  if (state.seat === null) return 'join';
  if (!state.seat.inside) return 'door';
  if (!state.soundDone) return 'sound';
  if (!state.wayDone) return 'way';
  return state.exercise !== null ? 'exercise' : copyScreen(state);
}

/** The learner's own sheet, by itself or as a part of an exercise. @param {Learner} state @returns {Screen} */
function copyScreen(state) {
  if (state.review !== null && (state.push === null || state.closed)) return 'until next time';
  if (state.push === null) return 'ready';
  if (state.push.shown !== '') return state.closed ? 'ready' : 'meeting';
  if (state.reveal !== null) return 'reveal';
  if (state.copyWay === 'paper') return state.closed && state.handedIn ? 'closed' : 'paper';
  return state.closed ? 'closed' : 'run';
}

/** The screen of the sheet that is open on this page; "ready" where there is none: within an exercise others may write.
 * @param {Learner} state @returns {Screen} */
export function sheetScreen(state) {
  const screen = screenOf(state);
  if (screen !== 'exercise') return screen;
  return state.push !== null && state.push.kind === 'copying' ? copyScreen(state) : 'ready';
}

/** @param {Learner} state @param {number} roomMs */
export const phaseOf = (state, roomMs) => phaseAt(runOf(state), roomMs);

/** Whether this page is on its way back to a seat, and a key may be for the sheet there. @param {Learner} state */
export const isReturning = ({ seat, asking }) => seat === null && asking === 'returning';

/** Whether this page is to stay silent because another one sounds for the whole room. @param {Learner} state */
export function leavesSoundToOthers({ class: told, seat }) {
  return told?.hearing === 'loudspeaker' && told.source !== seat?.number;
}

/**
 * What a key press writes now, or why it writes nothing.
 * @param {Learner} state
 * @param {string} character  a typed character, or a sign
 * @param {number} roomMs
 * @returns {{ key?: Key, why?: string }}
 */
export function strokeFor(state, character, roomMs) {
  const sign = signOf(character);
  const phase = phaseOf(state, roomMs);
  if (state.push === null || sign === '' || Number.isNaN(roomMs)) return {};
  if (phase === 'counting in') return { why: 'The sound has not started yet.' };
  if (phase === 'closed' || phase === 'waiting') return { why: 'The time for this copy is over.' };
  const atMs = roomMs - state.push.start_room_ms;
  if (phase !== 'tidying' || state.place === null) return { key: { at_ms: atMs, sign } };
  if (state.inserting) return { key: { at_ms: atMs, sign, before: state.place } };
  return { key: { at_ms: atMs, sign, change: state.place } };
}

/**
 * What erasing does now: the chosen mark, or the last one.
 * @param {Learner} state
 * @param {number} roomMs
 * @returns {{ key?: Key, why?: string }}
 */
export function erasureFor(state, roomMs) {
  const phase = phaseOf(state, roomMs);
  if (phase === 'sounding' || phase === 'paused') {
    return { why: 'No going back while the sound runs: you can tidy up afterwards.' };
  }
  if (phase !== 'tidying' || state.push === null || state.marks.length === 0 || Number.isNaN(roomMs)) return {};
  return { key: { at_ms: roomMs - state.push.start_room_ms, erase: state.place ?? state.marks.length - 1 } };
}

/** A keyed-in sheet as it would have been typed: groups of five. @param {Learner} state */
export const sheetText = ({ marks }) => grouped([...signsOf(marks)]).map((group) => group.join('')).join(' ');
