/**
 * The page's one connection: websocket only, kept up by itself, with a greeting said anew on every connect (`join` or
 * `watch`), and the exchanges that teach the page the room's time.
 *
 * Nothing is sent while it is down, and nothing is kept for later here: what a page wrote waits in its outbox, and
 * what it wants is said again after the greeting.
 */
import { io } from '../../vendor/socket.io-client/socket.io.js';
import * as clocks from '../core/clock.js';

/** @typedef {import('../core/units.js').Milliseconds} Milliseconds */
/** @typedef {'connecting' | 'connected' | 'lost'} Connection */

const CLOCK_ANSWER_MS = 4000;
/** As many as make the clock usable. */
const BURST_COUNT = 5;
const BURST_GAP_MS = 50;
const LONGEST_WAIT_MS = 4000;

/**
 * @param {object} wiring
 * @param {() => { name: string, payload: object } | null} wiring.greeting  the first message of every connection
 * @param {(connection: Connection) => void} [wiring.onConnection]
 */
export function connect({ greeting, onConnection = () => {} }) {
  const socket = io({ transports: ['websocket'], reconnectionDelay: 300, reconnectionDelayMax: LONGEST_WAIT_MS });
  let clock = clocks.create();
  /** The last usable one: after a server's new start a stroke is stamped by it until the new clock is known. */
  let trusted = clock;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let nextExchange;

  socket.on('connect', () => {
    clock = clocks.doubt(clock);
    burst();
    greet();
    onConnection('connected');
  });
  socket.on('disconnect', (/** @type {string} */ reason) => {
    clearTimeout(nextExchange);
    onConnection('lost');
    // The server has sent us away, as when it stops: the library would not come back by itself.
    if (reason === 'io server disconnect') setTimeout(() => socket.connect(), LONGEST_WAIT_MS / 4);
  });
  socket.io.on('error', () => onConnection('lost'));
  document.addEventListener('visibilitychange', lookAgain);
  window.addEventListener('online', lookAgain);

  /** After a sleep the clock may have jumped, and the connection may be long dead. */
  function lookAgain() {
    if (document.hidden) return;
    clock = clocks.doubt(clock);
    if (socket.connected) burst();
    else if (socket.active) socket.connect();
  }

  /** The first ones do not wait for each other: on a slow network answers take their time. */
  function burst() {
    for (let n = 0; n < BURST_COUNT; n += 1) setTimeout(exchange, n * BURST_GAP_MS);
  }

  function exchange() {
    clearTimeout(nextExchange);
    if (!socket.connected) return;
    const sentPageMs = performance.now();
    socket.timeout(CLOCK_ANSWER_MS).emit('clock', { page_ms: sentPageMs }, learn);

    /** @param {Error | null} fault @param {import('../core/clock.js').ClockExchange} answer */
    function learn(fault, answer) {
      const receivedPageMs = performance.now();
      if (!fault) {
        clock = clocks.exchange(clock, { ...answer, sent_page_ms: sentPageMs, received_page_ms: receivedPageMs });
        if (usable()) trusted = clock;
      }
      clearTimeout(nextExchange);
      if (socket.connected) nextExchange = setTimeout(exchange, clocks.nextExchangeInMs(clock));
    }
  }

  /** Say the greeting now: a page that has just found out whom to greet. */
  function greet() {
    const first = greeting();
    if (first !== null) send(first.name, first.payload);
  }

  /**
   * @param {string} name  an event of wire.js
   * @param {object} [payload]
   * @returns {boolean} whether it went out
   */
  function send(name, payload = {}) {
    if (!socket.connected) return false;
    socket.emit(name, payload);
    return true;
  }

  /**
   * @param {string} name  an event of wire.js
   * @param {(payload: any) => void} listener
   */
  function on(name, listener) {
    socket.on(name, listener);
  }

  function close() {
    clearTimeout(nextExchange);
    document.removeEventListener('visibilitychange', lookAgain);
    window.removeEventListener('online', lookAgain);
    socket.disconnect();
  }

  const usable = () => clocks.status(clock, performance.now()).usable;

  return Object.freeze({
    send,
    on,
    greet,
    close,
    /** @param {Milliseconds} roomMs @returns {Milliseconds} NaN while the clock is not usable */
    roomToPage: (roomMs) => (usable() ? clocks.toPage(clock, roomMs) : NaN),
    /** @param {Milliseconds} [pageMs] @returns {Milliseconds} room time, now or at that page time; NaN at first */
    roomMs: (pageMs = performance.now()) => clocks.toRoom(trusted, pageMs),
    clockStatus: () => clocks.status(clock, performance.now()),
  });
}
