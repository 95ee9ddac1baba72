/** The exchanges that teach a page the room's time, over a connection that comes and goes. */
import * as clocks from '../core/clock.js';

/** @import { Milliseconds } from '../core/units.js' */
/** @typedef {Omit<import('../core/clock.js').ClockExchange, 'sent_page_ms' | 'received_page_ms'>} Answer */

/** As many as make the clock usable. */
const BURST_COUNT = 5;
const BURST_GAP_MS = 50;

/**
 * @param {object} line
 * @param {() => boolean} line.isOpen
 * @param {(sentPageMs: Milliseconds, learn: (answer: Answer | null) => void) => void} line.ask  null: no answer came
 */
export function createRoomClock({ isOpen, ask }) {
  let clock = clocks.create();
  /** The last usable one: after a server's new start a stroke is stamped by it until the new clock is known. */
  let trusted = clock;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let next;

  const usable = () => clocks.status(clock, performance.now()).usable;
  const stop = () => clearTimeout(next);

  function exchange() {
    stop();
    if (!isOpen()) return;
    const sentPageMs = performance.now();
    ask(sentPageMs, (answer) => learn(sentPageMs, answer));
  }

  /** @param {Milliseconds} sentPageMs @param {Answer | null} answer */
  function learn(sentPageMs, answer) {
    if (answer !== null) {
      clock = clocks.exchange(clock, { ...answer, sent_page_ms: sentPageMs, received_page_ms: performance.now() });
      if (usable()) trusted = clock;
    }
    stop();
    if (isOpen()) next = setTimeout(exchange, clocks.nextExchangeInMs(clock));
  }

  return Object.freeze({
    /** It may have jumped, as after a sleep: what is known is doubted, and asked anew where the line is open. */
    doubt() {
      clock = clocks.doubt(clock);
      if (!isOpen()) return;
      // The first ones do not wait for each other: on a slow network answers take their time.
      for (let n = 0; n < BURST_COUNT; n += 1) setTimeout(exchange, n * BURST_GAP_MS);
    },
    stop,
    /** @param {Milliseconds} roomMs @returns {Milliseconds} NaN while the clock is not usable */
    roomToPage: (roomMs) => (usable() ? clocks.toPage(clock, roomMs) : NaN),
    /** @param {Milliseconds} [pageMs] @returns {Milliseconds} room time, now or at that page time; NaN at first */
    roomMs: (pageMs = performance.now()) => clocks.toRoom(trusted, pageMs),
    status: () => clocks.status(clock, performance.now()),
  });
}
