/**
 * Orders on runs, each told together with what it is meant for: the run and the phase that the instructor saw. Pure.
 *
 * So the room does nothing on an order that comes when the run has just changed, by a second click or another console.
 */
import { phaseAt } from './moment.js';

/** @import { Phase } from './moment.js' */
/** @import { ToServer } from './messages.js' */

/** @type {readonly (keyof ToServer)[]} */
const ON_THE_RUN = Object.freeze(['pause', 'go_on', 'stop', 'repeat', 'close', 'reveal', 'skip_turn', 'hand_over']);
/** @type {readonly (keyof ToServer)[]} */
const SENDING = Object.freeze(['send_text', 'send_step', 'start_exercise']);
export const SECOND_CLICK_MS = 1000;

/**
 * @template {keyof ToServer} Name
 * @param {Name} name
 * @param {ToServer[Name]} payload
 * @param {import('./moment.js').RunDetail | null} run
 * @param {number} roomMs
 * @returns {ToServer[Name]} what is sent
 */
export function asMeant(name, payload, run, roomMs) {
  const push = run?.push ?? 0;
  if (SENDING.includes(name)) return { ...payload, after: push };
  if (!ON_THE_RUN.includes(name)) return payload;
  return { ...payload, push, ...(run !== null && { seen: phaseAt(run, roomMs) }) };
}

/**
 * Whether an order is the last one again, by a second click.
 * @param {{ name: keyof ToServer | '', atMs: number }} last
 * @param {keyof ToServer} name
 * @param {number} nowMs
 */
export function isSecondClick(last, name, nowMs) {
  const isOrder = (ON_THE_RUN.includes(name) && name !== 'hand_over') || SENDING.includes(name);
  return isOrder && last.name === name && nowMs - last.atMs < SECOND_CLICK_MS;
}

/** @typedef {'pause' | 'go_on' | 'stop' | 'repeat' | 'reveal' | 'close' | 'next'} Deed  "next" is said to nobody: the composer opens */
/** @typedef {{ slot: string, words: string, does: Deed, isAway: boolean, primary?: boolean, isLoud?: boolean, kbd?: string }} Action */

/**
 * What can be done in each phase. Each deed has a place of its own, empty while it cannot be done: nothing moves under
 * the pointer. What comes next is composed here only when neither plan nor advice has it.
 * @param {Phase} phase @param {boolean} counted @param {boolean} isPlanned @returns {Action[]}
 */
export function actionsIn(phase, counted, isPlanned) {
  const sounds = phase === 'counting in' || phase === 'sounding' || phase === 'paused';
  const isStopped = phase === 'stopped';
  const isOpen = isStopped || phase === 'tidying' || phase === 'waiting';
  const isClosed = phase === 'closed';
  /** @type {{ words: string, does: Deed, primary?: boolean }} */
  const pause = phase === 'paused' || isStopped ? { words: 'Go on', does: 'go_on', primary: !isStopped } : { words: 'Pause', does: 'pause' };
  return [
    { slot: 'pause', ...pause, isAway: !sounds && !isStopped },
    { slot: 'stop', words: 'Stop the sound', does: 'stop', kbd: 'Esc', isLoud: phase !== 'paused', isAway: !sounds },
    { slot: 'repeat', words: 'Repeat', does: 'repeat', isAway: sounds },
    { slot: 'next', words: isPlanned ? 'Something else' : 'Next', does: 'next', primary: !isPlanned && !isClosed, isAway: sounds || (isOpen && counted) },
    { slot: 'reveal', words: isClosed ? 'Show to the learners' : 'Close and show', does: 'reveal', primary: isClosed, isAway: !isClosed && !(isOpen && counted) },
    { slot: 'close', words: 'Close', does: 'close', primary: true, isAway: !(isOpen && counted) },
  ];
}
