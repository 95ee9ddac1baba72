/**
 * Which seat this page sits on. A browser remembers one seat a room; a tab may hold another one (two who share a
 * device). Two tabs never sit on the same seat at once: the later one asks, and the earlier one keeps it until told.
 */
import { inTab, onDevice } from './storage.js';

/** @typedef {{ token: string, name: string }} Ticket */

const ANSWER_MS = 250;
const keyOf = (/** @type {string} */ code) => `seat.${code.toUpperCase()}`;

/** @param {string} code @returns {Ticket | undefined} */
export function remembered(code) {
  return inTab.read(keyOf(code)) ?? onDevice.read(keyOf(code));
}

/** The room that this device was in last. @returns {string} */
export const lastRoom = () => onDevice.read('room') ?? '';

/** @param {string} code @param {Ticket} ticket @param {boolean} thisTabOnly */
export function remember(code, ticket, thisTabOnly) {
  onDevice.write('room', code);
  inTab.write(keyOf(code), ticket);
  if (!thisTabOnly) onDevice.write(keyOf(code), ticket);
}

/** @param {string} code @param {string} token */
export function forget(code, token) {
  inTab.forget(keyOf(code));
  if (onDevice.read(keyOf(code))?.token === token) onDevice.forget(keyOf(code));
}

/** Take the seat from the page of this browser that holds it: begin anew, and ask nobody then. */
export function takeOver() {
  inTab.write('take', true);
  location.reload();
}

/** Whether this page has begun anew for that; once. */
export function isTakingOver() {
  const taking = inTab.read('take') === true;
  inTab.forget('take');
  return taking;
}

/**
 * Watches over the seat that this page holds.
 * @param {() => void} onTaken  another page of this browser has taken it
 */
export function createHold(onTaken) {
  const channel = 'BroadcastChannel' in window ? new BroadcastChannel('copyroom.seats') : null;
  const page = Math.random();
  let held = '';
  /** @type {((taken: boolean) => void) | null} */
  let answered = null;

  channel?.addEventListener('message', ({ data }) => {
    if (data.page === page) return;
    if (data.ask === held && held !== '') channel.postMessage({ page, held });
    if (data.held !== undefined && answered !== null) answered(true);
    if (data.take === held && held !== '') {
      held = '';
      onTaken();
    }
  });

  return Object.freeze({
    /** Whether another page of this browser holds the seat. @param {string} token @returns {Promise<boolean>} */
    isHeldElsewhere: (token) =>
      new Promise((resolve) => {
        if (channel === null) return resolve(false);
        answered = resolve;
        channel.postMessage({ page, ask: token });
        return setTimeout(() => resolve(false), ANSWER_MS);
      }),
    /** @param {string} token */
    take(token) {
      held = token;
      channel?.postMessage({ page, take: token });
    },
    release() {
      held = '';
    },
  });
}
