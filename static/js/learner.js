/** The learner's page: ties state, connection, sound, outbox, seat and views together. */
import { isReturning, leavesSoundToOthers, NEW, phaseOf, reduce, sheetScreen } from './core/learner_state.js';
import { createStore } from './core/store.js';
import { createWakeLock, savedSettings, saveSettings, showTheme } from './shell/device.js';
import { listenToKeys } from './shell/keyboard.js';
import { sendLate } from './shell/late.js';
import { createActions } from './shell/learner_actions.js';
import { createSeat } from './shell/learner_seat.js';
import { createLearnerSound } from './shell/learner_sound.js';
import { createOutbox } from './shell/outbox.js';
import { lastRoom } from './shell/seats.js';
import { connect } from './shell/socket.js';
import { onDevice } from './shell/storage.js';
import { showLearner } from './view/learner/page.js';

/** @import { LearnerStore } from './core/learner_state.js' */
/** @import { SettingsStore } from './shell/device.js' */

/** @type {LearnerStore} */
const store = createStore(reduce, { ...NEW, code: codeOfPage() });
/** @type {SettingsStore} */
const settings = createStore((now, changed) => ({ ...now, ...changed }), savedSettings());
/** Whom the next greeting is for. @type {import('./wire.js').JoinIn | null} */
let joining = null;

const connection = connect({
  code: store.get().code,
  greeting: () => joining && { name: 'join', payload: joining },
  onConnection: (now) => store.dispatch({ type: 'set', changed: { connection: now } }),
});
const outbox = createOutbox({ send: connection.send, storage: onDevice });
connection.onAny(told);
const testPitchHz = Number(new URLSearchParams(location.search).get('test_pitch_hz')) || undefined;
const sound = createLearnerSound({ store, connection, outbox, settings: settings.get(), testPitchHz });
const link = { code: codeOfPage(), key: location.hash.slice(1) };
const seat = createSeat({ store, connection, outbox, sound, link, greetAs: (whom) => (joining = whom) });
const actions = createActions({ store, settings, connection, outbox, sound, seat });

function codeOfPage() {
  const [, code] = /^\/r\/([^/]+)/.exec(location.pathname) ?? [];
  return code === undefined ? lastRoom() : decodeURIComponent(code);
}

/** @param {import('./core/messages.js').Told} message */
function told(message) {
  const { name, payload } = message;
  if (name === 'welcome') {
    seat.welcome(payload);
    return sendLate(payload.code, payload.seat, connection.send, () => store.get().connection === 'connected');
  }
  if (name === 'kept') return outbox.keep(payload.push, payload.kept);
  if (name === 'push') outbox.clearBefore(payload.push);
  store.dispatch({ type: 'told', ...message });
  if (name === 'class') sound.apply();
  if (name === 'removed') seat.giveUp();
  return undefined;
}

/** A browser lets a page sound from a tap on; after a reload or an interruption any tap will do. */
function wakeSound() {
  const state = store.get();
  if (state.soundDone && state.audio !== 'running' && !leavesSoundToOthers(state)) actions.unlock();
}

function isWriting() {
  const state = store.get();
  if (isReturning(state)) return true;
  return sheetScreen(state) === 'run' && !state.handedIn && phaseOf(state, connection.roomMs()) !== 'waiting';
}

function settingsChanged() {
  saveSettings(settings.get());
  showTheme(settings.get().theme);
  sound.set(settings.get());
}

settings.subscribe(settingsChanged);
store.subscribe(() => wakeLock.want(store.get().push !== null && !store.get().closed));
const wakeLock = createWakeLock();
document.addEventListener('click', wakeSound);
document.addEventListener('keydown', wakeSound);
listenToKeys({ write: actions.press, erase: actions.erase, move: actions.move }, isWriting);
showTheme(settings.get().theme);
showLearner({
  store, settings, actions, roomMs: connection.roomMs, clockStatus: connection.clockStatus, remembers: onDevice.lasts,
});
seat.begin();
