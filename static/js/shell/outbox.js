/**
 * Brings what was written and heard to the server: first on the device's disk, then out in batches, again and again
 * until it is acknowledged. The rules are `core/outbox.js`'s.
 */
import * as core from '../core/outbox.js';

const BATCH_EVERY_MS = 150;
const AGAIN_AFTER_MS = 5000;

/**
 * @param {object} wiring
 * @param {(name: string, payload: object) => boolean} wiring.send
 * @param {import('./storage.js').Remembered} wiring.storage
 */
export function createOutbox({ send, storage }) {
  let key = '';
  let outbox = core.EMPTY;
  /** Per push, the number of the first stroke that has not gone out on this connection. @type {Map<number, number>} */
  const sentTo = new Map();
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let batch;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let again;

  /** @param {core.Outbox} next */
  function become(next) {
    outbox = next;
    storage.write(key, outbox);
  }

  function flush() {
    clearTimeout(batch);
    batch = undefined;
    for (const push of pushes()) {
      for (const message of core.batches(outbox, push, sentTo.get(push) ?? 0)) {
        if (!send('write_keys', message)) return;
        sentTo.set(push, message.first + message.keys.length);
      }
    }
    if (isWaiting()) again ??= setTimeout(sendAgain, AGAIN_AFTER_MS);
  }

  const pushes = () => Object.keys(outbox).map(Number);
  const isWaiting = () => pushes().some((push) => core.waitingOf(outbox, push).keys.length > 0);

  function sendAgain() {
    clearTimeout(again);
    again = undefined;
    sentTo.clear();
    flush();
  }

  /** @param {number} push */
  function sendSpans(push) {
    const { spans } = core.waitingOf(outbox, push);
    if (spans.length > 0) send('report_sounded', { push, spans });
  }

  return Object.freeze({
    /** The outbox of one seat, as this device remembers it. @param {string} room @param {number} seat */
    open(room, seat) {
      key = `outbox.${room}.${seat}`;
      outbox = storage.read(key) ?? core.EMPTY;
      sentTo.clear();
    },
    /** @param {number} push @param {readonly core.Key[]} keys */
    write(push, keys) {
      become(core.withKeys(outbox, push, keys));
      batch ??= setTimeout(flush, BATCH_EVERY_MS);
    },
    /** @param {number} push @param {number} kept */
    keep(push, kept) {
      become(core.withKept(outbox, push, kept));
      clearTimeout(again);
      again = isWaiting() ? setTimeout(sendAgain, AGAIN_AFTER_MS) : undefined;
    },
    /** What the server does not hold of this push's strokes. @param {number} push */
    waiting: (push) => core.waitingOf(outbox, push).keys,
    /** @param {number} push @param {number} start @param {number} stop */
    sounded(push, start, stop) {
      become(core.withSounded(outbox, push, [start, stop]));
      send('report_sounded', { push, spans: [[start, stop]] });
    },
    /** All that is not acknowledged, after a new connection. */
    sendAll() {
      pushes().forEach(sendSpans);
      sendAgain();
    },
    flush,
    /** Drop what earlier pushes have no more use for. @param {number} push */
    clearBefore: (push) => become(core.cleared(outbox, push)),
    forget: () => storage.forget(key),
  });
}
