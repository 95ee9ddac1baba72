/**
 * What the server has not said to hold yet: numbered strokes of each push, and which symbols sounded here. Pure, and
 * plain data, so that it can lie on the device's disk: nothing is lost or doubled by a reload, an empty battery, a
 * broken network or a server that starts anew.
 */

/** @import { Key, WriteKeysIn } from '../wire.js' */
/** @typedef {[start: number, stop: number]} Span */
/** @typedef {{ first: number, keys: readonly Key[], spans: readonly Span[] }} Waiting  strokes numbered from `first` */
/** @typedef {Readonly<Record<number, Waiting>>} Outbox  by push */

const MOST_KEYS = 200;
const MOST_SPANS = 100;

/** @type {Outbox} */
export const EMPTY = Object.freeze({});
/** @type {Waiting} */
const NOTHING = Object.freeze({ first: 0, keys: [], spans: [] });

/** @param {Outbox} outbox @param {number} push */
export function waitingOf(outbox, push) {
  return outbox[push] ?? NOTHING;
}

/** @param {Outbox} outbox @param {number} push @param {readonly Key[]} keys @returns {Outbox} */
export function withKeys(outbox, push, keys) {
  const waiting = waitingOf(outbox, push);
  return { ...outbox, [push]: { ...waiting, keys: [...waiting.keys, ...keys] } };
}

/**
 * The server holds `kept` strokes of that push. Strokes it has not asked for yet, but we have not got any more, cannot
 * be: the rest is then numbered on from what it holds.
 * @param {Outbox} outbox
 * @param {number} push
 * @param {number} kept
 * @returns {Outbox}
 */
export function withKept(outbox, push, kept) {
  const waiting = waitingOf(outbox, push);
  const keys = waiting.keys.slice(Math.max(0, kept - waiting.first));
  return { ...outbox, [push]: { ...waiting, first: kept, keys } };
}

/** @param {Outbox} outbox @param {number} push @param {Span} span @returns {Outbox} */
export function withSounded(outbox, push, span) {
  const waiting = waitingOf(outbox, push);
  return { ...outbox, [push]: { ...waiting, spans: joined([...waiting.spans, span]) } };
}

/** Without earlier pushes that are wholly held. @param {Outbox} outbox @param {number} push @returns {Outbox} */
export function cleared(outbox, push) {
  const left = Object.entries(outbox).filter(([number, { keys }]) => Number(number) >= push || keys.length > 0);
  return Object.fromEntries(left);
}

/**
 * The messages that hold what is numbered `from` and later.
 * @param {Outbox} outbox
 * @param {number} push
 * @param {number} from
 * @returns {WriteKeysIn[]}
 */
export function batches(outbox, push, from) {
  const { first, keys } = waitingOf(outbox, push);
  const messages = [];
  for (let at = Math.max(0, from - first); at < keys.length; at += MOST_KEYS) {
    messages.push({ push, first: first + at, keys: keys.slice(at, at + MOST_KEYS) });
  }
  return messages;
}

/** @param {readonly Span[]} spans @returns {Span[]} in order, touching ones as one, the last hundred of them */
function joined(spans) {
  /** @type {Span[]} */
  const found = [];
  for (const [start, stop] of [...spans].sort((a, b) => a[0] - b[0])) {
    const last = found[found.length - 1];
    if (last !== undefined && start <= last[1]) last[1] = Math.max(last[1], stop);
    else found.push([start, stop]);
  }
  return found.slice(-MOST_SPANS);
}
