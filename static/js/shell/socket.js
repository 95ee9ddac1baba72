/**
 * The page's one connection: websocket only, kept up by itself, with a greeting said anew on every connect (`join` or
 * `watch`), and the room's time learnt over it.
 *
 * Nothing is sent while it is down, and nothing is kept for later here: what a page wrote waits in its outbox, and
 * what it wants is said again after the greeting.
 */
import { io } from '../../vendor/socket.io-client/socket.io.js';
import { TO_BROWSER } from '../wire.js';
import { createRoomClock } from './room_clock.js';

/** @import { Greeting, Send, ToBrowser, Told } from '../core/messages.js' */
/** @typedef {'connecting' | 'connected' | 'lost'} Connection */
/** @typedef {ReturnType<typeof connect>} Socket */

const CLOCK_ANSWER_MS = 4000;
const LONGEST_WAIT_MS = 4000;

/** A room as a proxy tells it from others: without the key that may follow it, however it was typed. @param {string} code */
const roomIn = (code) => (code.split('.')[0] ?? '').trim().toUpperCase().replaceAll(/[\s-]+/g, '-');

/** A socket whose address names its room, so that a proxy can bring all who are in it to the same server.
 * @param {string} code */
function aimed(code) {
  let room = roomIn(code);
  const socket = io({
    transports: ['websocket'], reconnectionDelay: 300, reconnectionDelayMax: LONGEST_WAIT_MS, query: { code: room },
  });
  /** The page is for this room from now on: another server may have it. @param {string} next */
  function aim(next) {
    if (roomIn(next) === room) return;
    room = roomIn(next);
    socket.io.opts.query = { code: room };
    if (socket.connected) socket.disconnect().connect();
  }
  return { socket, aim };
}

/**
 * @param {object} wiring
 * @param {string} wiring.code  of the room that this page is for, as far as it is known; "" for none
 * @param {() => Greeting | null} wiring.greeting  the first message of every connection
 * @param {(connection: Connection) => void} wiring.onConnection
 */
export function connect({ code, greeting, onConnection }) {
  const { socket, aim } = aimed(code);
  const clock = createRoomClock({
    isOpen: () => socket.connected,
    ask: (pageMs, learn) => socket.timeout(CLOCK_ANSWER_MS).emit('clock', { page_ms: pageMs },
      (/** @type {Error | null} */ fault, /** @type {import('./room_clock.js').Answer} */ answer) => learn(fault ? null : answer)),
  });

  socket.on('connect', () => {
    clock.doubt();
    greet();
    onConnection('connected');
  });
  socket.on('disconnect', (/** @type {string} */ reason) => {
    clock.stop();
    if (reason === 'io client disconnect') return;
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
    clock.doubt();
    if (!socket.connected && socket.active) socket.connect();
  }

  /** Say the greeting now: a page that has just found out whom to greet. */
  function greet() {
    const first = greeting();
    if (first !== null) send(first.name, first.payload);
  }

  /** @type {Send} */
  function send(name, payload) {
    if (!socket.connected) return false;
    socket.emit(name, payload);
    return true;
  }

  return Object.freeze({
    send,
    greet,
    aim,
    /**
     * @template {keyof ToBrowser} Name
     * @param {Name} name
     * @param {(payload: ToBrowser[Name]) => void} listener
     */
    on: (name, listener) => void socket.on(/** @type {string} */ (name), listener),
    /** Hear whatever the server tells. @param {(told: Told) => void} listener */
    onAny: (listener) => TO_BROWSER.forEach((name) =>
      void socket.on(name, (/** @type {ToBrowser[typeof name]} */ payload) => listener(/** @type {Told} */ ({ name, payload })))),
    close() {
      clock.stop();
      document.removeEventListener('visibilitychange', lookAgain);
      window.removeEventListener('online', lookAgain);
      socket.disconnect();
    },
    roomToPage: clock.roomToPage,
    roomMs: clock.roomMs,
    clockStatus: clock.status,
  });
}
