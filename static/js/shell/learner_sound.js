/**
 * Sound on a learner's page: what the server sends goes straight to the audio, and what sounded here, or what the room
 * let this seat hear, to the outbox.
 */
import { leavesSoundToOthers, phaseOf, runOf } from '../core/learner_state.js';
import { completeAt, symbolAt } from '../core/moment.js';
import { createAudio } from './audio.js';
import { vibrate } from './device.js';
import { createReport } from './device_report.js';
import { BEAT, createOwnSounds } from './own_sounds.js';

/** @import { Settings } from './device.js' */
/** @import { Pushed } from '../core/moment.js' */
/** @import { LearnerStore } from '../core/learner_state.js' */
/** @typedef {ReturnType<typeof createLearnerSound>} LearnerSound */

const LOOK_EVERY_MS = 50;
const REPORT_EVERY_MS = 1000;

/**
 * @param {object} wiring
 * @param {LearnerStore} wiring.store
 * @param {import('./socket.js').Socket} wiring.connection
 * @param {import('./outbox.js').Outbox} wiring.outbox
 * @param {Settings} wiring.settings
 * @param {number} [wiring.testPitchHz]  heard in the server's test mode only
 */
export function createLearnerSound({ store, connection, outbox, settings: first, testPitchHz }) {
  let settings = first;
  const isSilent = () => settings.silent || leavesSoundToOthers(store.get());
  const audio = createAudio({
    roomToPage: connection.roomToPage,
    onState: (audioState) => {
      store.dispatch({ type: 'set', changed: { audio: audioState } });
      report();
    },
    onSounded: (push, from, to) => {
      if (push !== BEAT) outbox.sounded(push, from, to);
    },
  });
  const own = createOwnSounds({ store, audio, roomMs: connection.roomMs, onVolume: apply });
  const report = createReport({ store, connection, audio, isSilent, calibrationMs: () => settings.calibrationMs });
  const ear = createEar({ store, connection, outbox, isSilent });
  const shake = createShaker(store, connection.roomMs);

  function apply() {
    audio.set({ ...settings, volume: settings.volume * own.volumePart(), silent: isSilent() });
  }

  /** @param {Pushed | import('../wire.js').SoundPartOut} push */
  function play(push) {
    own.stopBeat();
    const test = store.get().testMode && testPitchHz ? { test_pitch_hz: testPitchHz } : {};
    audio.play({ ...push, ...test, level: 1 });
  }

  /** Bring the audio in line with a welcome: a run goes on in the middle, or there is none any more. */
  function resume() {
    const { push, halt, closed } = store.get();
    apply();
    if (push === null || closed) {
      audio.stop();
      return;
    }
    ear.begin();
    play(push);
    if (halt !== null) audio.halt(halt);
  }

  connection.on('push', (push) => play(/** @type {Pushed} */ (push)));
  connection.on('sound', play);
  connection.on('shift', () => {
    const { push } = store.get(); // the store has taken the shifts in before
    if (push !== null) play(push);
  });
  connection.on('more', (more) => {
    const { push, halt, closed } = store.get(); // and these sounds, too
    if (push?.push === more.push && halt === null && !closed) play(push);
  });
  connection.on('halt', audio.halt);
  setInterval(report, REPORT_EVERY_MS);
  setInterval(() => {
    ear.listen();
    if (settings.vibrate) shake();
  }, LOOK_EVERY_MS);
  document.addEventListener('visibilitychange', () => report());
  apply();

  /** @param {Settings} changed */
  function set(changed) {
    settings = changed;
    apply();
    report();
  }

  return Object.freeze({ ...own, unlock: audio.unlock, stop: audio.stop, resume, report, apply, set });
}

/**
 * What the room's other sound lets a silent seat hear, told to the outbox. At home there is none.
 * @param {Pick<Parameters<typeof createLearnerSound>[0], 'store' | 'connection' | 'outbox'> & { isSilent: () => boolean }} wiring
 */
function createEar({ store, connection, outbox, isSilent }) {
  /** Up to where this seat has heard the run. */
  let heardTo = { push: 0, index: 0 };
  let toldMs = 0;

  function listen() {
    const state = store.get();
    const run = runOf(state);
    const inTheRoom = state.class?.hearing === 'every' || state.class?.hearing === 'loudspeaker';
    if (run === null || !isSilent() || !inTheRoom || state.connection !== 'connected') return;
    const roomMs = connection.roomMs();
    if (Number.isNaN(roomMs)) return;
    if (heardTo.push !== run.push) heardTo = { push: run.push, index: 0 };
    const index = completeAt(run, roomMs);
    if (index <= heardTo.index) return;
    // The last symbol is told at once: a quick instructor closes the run as soon as it has sounded.
    if (index < run.sent && performance.now() - toldMs < REPORT_EVERY_MS) return;
    outbox.sounded(run.push, heardTo.index, index);
    heardTo = { push: run.push, index };
    toldMs = performance.now();
  }

  return {
    /** What sounded before is not heard here. */
    begin() {
      const run = runOf(store.get());
      if (run !== null) heardTo = { push: run.push, index: completeAt(run, connection.roomMs()) };
    },
    listen,
  };
}

/** Shakes the device with each sound of a run, once. @param {LearnerStore} store @param {() => number} roomMs */
function createShaker(store, roomMs) {
  let shaken = '';
  return () => {
    const run = runOf(store.get());
    if (run === null || phaseOf(store.get(), roomMs()) !== 'sounding') return;
    const index = symbolAt(run, roomMs());
    const now = `${run.push}.${index}`;
    if (index >= 0 && now !== shaken) vibrate(run.edges[index]);
    shaken = now;
  };
}
