/** The instructor's console: entry, wiring, nothing else. */
import { html, render } from '../vendor/preact.js';
import { EMPTY, reduce } from './core/console_state.js';
import { isSounding, phaseAt } from './core/moment.js';
import { asMeant, isSecondClick } from './core/run_orders.js';
import { createStore } from './core/store.js';
import * as api from './shell/console_api.js';
import { listenToKeys } from './shell/console_keys.js';
import { createConsoleSound } from './shell/console_sound.js';
import { connect } from './shell/socket.js';
import { ConsolePage } from './view/console/page.js';
import { PrintSheet } from './view/console/print_sheet.js';
import { Stranger } from './view/console/stranger.js';

/** @import { ConsoleStore } from './core/console_state.js' */
/** @import { Socket } from './shell/socket.js' */

const page = /** @type {HTMLElement} */ (document.getElementById('page'));
const paper = /** @type {HTMLElement} */ (document.getElementById('paper'));

/** @param {string} code  "" for the latest room */
function goToRoom(code) {
  location.assign(code === '' ? location.pathname : `${location.pathname}?room=${encodeURIComponent(code)}`);
}

function start() {
  const code = new URLSearchParams(location.search).get('room') ?? '';
  const store = createStore(reduce, EMPTY);
  const socket = connect({
    code,
    greeting: () => ({ name: 'watch', payload: { code, view: 'console' } }),
    onConnection: (connection) => store.dispatch({ type: 'connection', connection }),
  });
  const sound = createConsoleSound({
    roomToPage: socket.roomToPage, onChange: () => store.dispatch({ type: 'sound told' }),
  });
  socket.onAny((message) => store.dispatch({ type: 'told', ...message }));
  followSound(socket, store, sound);

  const roomMs = () => socket.roomMs();
  const send = sender(socket, store);
  const hearBoth = async (/** @type {string} */ a, /** @type {string} */ b) => {
    const settings = isSounding(phaseAt(store.get().run, roomMs())) ? null : store.get().room?.sound;
    const soundsMs = settings ? await sound.pair(a, b, settings) : 0;
    if (soundsMs === 0) store.dispatch({ type: 'noticed', sentence: 'That cannot be heard now: the class is sounding, or this computer’s sound is blocked.' });
    return soundsMs;
  };
  const desk = { store, dispatch: store.dispatch, send, roomMs, hearBoth, sound, api, goToRoom };

  listenToKeys(() => {
    const phase = phaseAt(store.get().run, roomMs());
    if (isSounding(phase) || phase === 'paused') send('stop', {});
  });
  window.addEventListener('beforeprint', () => render(html`<${PrintSheet} desk=${desk} />`, paper));
  window.addEventListener('afterprint', () => render(null, paper));
  render(html`<${ConsolePage} desk=${desk} />`, page);
}

/**
 * Each thing is said once, as it is meant, and it is noticed when it could not be said.
 * @param {Socket} socket
 * @param {ConsoleStore} store
 * @returns {import('./core/messages.js').Send}
 */
function sender(socket, store) {
  /** @type {Parameters<typeof isSecondClick>[0]} */
  let last = { name: '', atMs: -Infinity };
  return (name, payload) => {
    const now = { name, atMs: performance.now() };
    if (isSecondClick(last, name, now.atMs)) return true;
    last = now;
    const sent = socket.send(name, asMeant(name, payload, store.get().run, socket.roomMs()));
    if (!sent) store.dispatch({ type: 'noticed', sentence: 'Not sent: the connection is lost. Try again when it is back.' });
    return sent;
  };
}

/**
 * Tones go from the socket straight to the sound.
 * @param {Socket} socket
 * @param {ConsoleStore} store
 * @param {import('./shell/console_sound.js').ConsoleSound} sound
 */
function followSound(socket, store, sound) {
  socket.on('push', sound.play);
  socket.on('sound', sound.playPart);
  socket.on('halt', sound.halt);
  socket.on('shift', sound.goOn);
  // A console opened in the middle of a run learns of it here.
  socket.on('run', ({ run }) => run !== null && run.within === 0 && isSounding(run.phase) && sound.play(run));
  store.subscribe(() => {
    const { room } = store.get();
    sound.beLoudspeaker(room?.hearing === 'loudspeaker' && room.source === 0);
  });
}

if (await api.enter()) start();
else render(html`<${Stranger} />`, page);
