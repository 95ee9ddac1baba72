/**
 * Brings what was written and heard to the server: first on the device's disk, then out in batches, again and again
 * until it is acknowledged. The rules are `core/outbox.js`'s.
 */
import * as core from '../core/outbox.js';

/** @import { Key } from '../wire.js' */

const BATCH_EVERY_MS = 150;
const AGAIN_AFTER_MS = 5000;

/** @typedef {ReturnType<typeof createOutbox>} Outbox */

/**
 * @param {object} wiring
 * @param {import('../core/messages.js').Send} wiring.send
 * @param {import('./storage.js').Remembered} wiring.storage
 */
export function createOutbox({ send, storage }) {
  let key = '';
  let outbox = core.EMPTY;
  const post = createPost(send, () => outbox);

  /** @param {core.Outbox} next */
  function become(next) {
    outbox = next;
    storage.write(key, outbox);
  }

  /** @param {number} push @param {number} kept */
  function keep(push, kept) {
    become(core.withKept(outbox, push, kept));
    post.acknowledged();
  }

  /** Drop what earlier pushes have no more use for. @param {number} push */
  const clearBefore = (push) => become(core.cleared(outbox, push));

  return Object.freeze({
    /**
     * The outbox of one seat, as this device remembers it, beside what the server holds of the run at hand.
     * @param {string} room
     * @param {string} token  of the seat: its number may change
     * @param {number | undefined} push
     * @param {number} kept  strokes of that push
     * @returns {readonly Key[]} the strokes of it that the server does not hold
     */
    open(room, token, push, kept) {
      key = `outbox.${room}.${token}`;
      outbox = storage.read(key) ?? core.EMPTY;
      post.begin();
      if (push === undefined) return [];
      clearBefore(push);
      keep(push, kept);
      return core.waitingOf(outbox, push).keys;
    },
    /** @param {number} push @param {readonly Key[]} keys */
    write(push, keys) {
      become(core.withKeys(outbox, push, keys));
      post.soon();
    },
    keep,
    /** @param {number} push @param {number} start @param {number} stop */
    sounded(push, start, stop) {
      become(core.withSounded(outbox, push, [start, stop]));
      send('report_sounded', { push, spans: [[start, stop]] });
    },
    sendAll: post.sendAll,
    flush: post.flush,
    clearBefore,
    forget: () => storage.forget(key),
  });
}

/**
 * Sends what waits in an outbox: each stroke once on a connection, and all again when no answer comes.
 * @param {import('../core/messages.js').Send} send
 * @param {() => core.Outbox} outbox  as it is now
 */
function createPost(send, outbox) {
  /** Per push, the number of the first stroke that has not gone out on this connection. @type {Map<number, number>} */
  const sentTo = new Map();
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let batch;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let again;

  const pushes = () => Object.keys(outbox()).map(Number);
  const isWaiting = () => pushes().some((push) => core.waitingOf(outbox(), push).keys.length > 0);

  function flush() {
    clearTimeout(batch);
    batch = undefined;
    for (const push of pushes()) {
      for (const message of core.batches(outbox(), push, sentTo.get(push) ?? 0)) {
        if (!send('write_keys', message)) return;
        sentTo.set(push, message.first + message.keys.length);
      }
    }
    if (isWaiting()) again ??= setTimeout(sendAgain, AGAIN_AFTER_MS);
  }

  function sendAgain() {
    clearTimeout(again);
    again = undefined;
    sentTo.clear();
    flush();
  }

  return {
    begin: () => sentTo.clear(),
    flush,
    soon: () => void (batch ??= setTimeout(flush, BATCH_EVERY_MS)),
    acknowledged() {
      clearTimeout(again);
      again = isWaiting() ? setTimeout(sendAgain, AGAIN_AFTER_MS) : undefined;
    },
    /** All that is not acknowledged, after a new connection. */
    sendAll() {
      for (const push of pushes()) {
        const { spans } = core.waitingOf(outbox(), push);
        if (spans.length > 0) send('report_sounded', { push, spans: [...spans] });
      }
      sendAgain();
    },
  };
}
