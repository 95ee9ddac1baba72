/**
 * Sound on a learner's page: what the server sends goes straight to the audio, what sounded goes to the outbox, how the
 * device stands goes to the server.
 */
import { leavesSoundToOthers, phaseOf, runOf } from '../core/learner_state.js';
import { completeAt, symbolAt } from '../core/moment.js';
import { inTurn } from '../core/tones.js';
import { createAudio } from './audio.js';
import { vibrate } from './device.js';

/** @typedef {import('./device.js').Settings} Settings */
/** @typedef {import('../core/learner_state.js').Learner} Learner */
/** @typedef {import('../wire.js').PushOut} PushOut */

const LOOK_EVERY_MS = 50;
const REPORT_EVERY_MS = 1000;
const FAR_MS = 60_000;
/** Rendering, handing over, a page that stalls for a moment, and a network's ordinary hiccup. */
const LEAD_MARGIN_MS = 300;
const RAMP_MS = 2500;
const RAMP_FROM = 0.02;
/** Operators have always tested with this letter (common practice). */
const TEST_SIGNS = 'VVV';
/** A push of this page's own: a beat in room time, to set a slow output by. */
const BEAT = -1;
const BEAT_EVERY_MS = 1000;
const BEAT_COUNT = 60;

/**
 * @param {object} wiring
 * @param {import('../core/store.js').Store<Learner, import('../core/learner_state.js').Action>} wiring.store
 * @param {ReturnType<typeof import('./socket.js').connect>} wiring.connection
 * @param {ReturnType<typeof import('./outbox.js').createOutbox>} wiring.outbox
 * @param {Settings} wiring.settings
 * @param {number} [wiring.testPitchHz]  heard in the server's test mode only
 */
export function createLearnerSound({ store, connection, outbox, settings: first, testPitchHz }) {
  let settings = first;
  let reported = '';
  let shaken = '';
  /** Of a room that another page sounds in: up to where this seat has heard it. */
  let heardTo = { push: 0, index: 0 };
  let heardToldMs = 0;
  /** Test tones grow from almost nothing up to the chosen volume. */
  let volumePart = 1;
  /** @type {ReturnType<typeof setInterval> | undefined} */
  let ramp;

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

  const isSilent = () => settings.silent || leavesSoundToOthers(store.get());

  function apply() {
    audio.set({ ...settings, volume: settings.volume * volumePart, silent: isSilent() });
  }

  /** @param {PushOut} push */
  function play(push) {
    stopBeat();
    const shifts = push.shifts.map(({ first: from, shift_ms }) => ({ from, shift_ms }));
    const test = store.get().testMode && testPitchHz ? { test_pitch_hz: testPitchHz } : {};
    audio.play({ ...push, ...test, shifts, level: 1 });
  }

  /** Bring the audio in line with a welcome: a run goes on in the middle, or there is none any more. */
  function resume() {
    const run = runOf(store.get());
    apply();
    if (run === null || store.get().closed) return audio.stop();
    heardTo = { push: run.push.push, index: completeAt(run, connection.roomMs()) };
    play(run.push);
    if (run.halt !== null) audio.halt(run.halt);
    return undefined;
  }

  /** What the room's other sound lets this seat hear. At home there is none. */
  function hearTheRoom() {
    const state = store.get();
    const run = runOf(state);
    const inTheRoom = state.class?.hearing === 'every' || state.class?.hearing === 'loudspeaker';
    if (run === null || !isSilent() || !inTheRoom || state.connection !== 'connected') return;
    const roomMs = connection.roomMs();
    if (Number.isNaN(roomMs)) return;
    if (heardTo.push !== run.push.push) heardTo = { push: run.push.push, index: 0 };
    const index = completeAt(run, roomMs);
    if (index <= heardTo.index) return;
    // The last symbol is told at once: a quick instructor closes the run as soon as it has sounded.
    if (index < run.push.edges.length && performance.now() - heardToldMs < REPORT_EVERY_MS) return;
    outbox.sounded(run.push.push, heardTo.index, index);
    heardTo = { push: run.push.push, index };
    heardToldMs = performance.now();
  }

  function shake() {
    const state = store.get();
    const run = runOf(state);
    if (!settings.vibrate || run === null || phaseOf(state, connection.roomMs()) !== 'sounding') return;
    const index = symbolAt(run, connection.roomMs());
    const now = `${run.push.push}.${index}`;
    if (index >= 0 && now !== shaken) vibrate(run.push.edges[index]);
    shaken = now;
  }

  /** How this device stands, told when it has changed. @param {boolean} [anew] */
  function report(anew = false) {
    const { audio: audioState, seat } = store.get();
    if (seat === null) return;
    const { scatterMs, latencyMs, latenessMs } = audio.status();
    const clock = connection.clockStatus();
    const sound = isSilent() ? 'silent' : (/** @type {Record<string, string>} */ ({ locked: 'off', running: 'on' })[audioState] ?? 'lost');
    const uncertaintyMs = clock.uncertaintyMs + (sound === 'on' ? scatterMs : 0);
    const leadMs = 2 * clock.boundMs + latencyMs + latenessMs + Math.max(0, settings.calibrationMs)
      + LEAD_MARGIN_MS;
    const told = {
      sound,
      uncertainty_ms: Math.min(FAR_MS, coarse(uncertaintyMs)),
      lead_ms: Math.min(FAR_MS, 20 * Math.ceil(leadMs / 20)),
      visible: !document.hidden,
    };
    if (!anew && JSON.stringify(told) === reported) return;
    if (connection.send('report_device', told)) reported = JSON.stringify(told);
  }

  /** @param {number} part */
  function setVolumePart(part) {
    volumePart = part;
    apply();
    if (part === 1) clearInterval(ramp);
  }

  /** @returns {boolean} false while the class is sounding, between its sounds, too, or without sound here */
  function test() {
    if (phaseOf(store.get(), connection.roomMs()) === 'sounding') return false;
    const told = store.get().class;
    const { edges } = inTurn(TEST_SIGNS, told?.wpm ?? 18);
    if (!audio.sample(edges, told?.pitch_hz ?? 600)) return false;
    const startPageMs = performance.now();
    const grown = () => Math.min(1, (performance.now() - startPageMs) / RAMP_MS);
    clearInterval(ramp);
    ramp = setInterval(() => setVolumePart(RAMP_FROM + (1 - RAMP_FROM) * grown()), LOOK_EVERY_MS);
    setVolumePart(RAMP_FROM);
    return true;
  }

  /** @param {string} signs  heard one after the other @returns {import('../core/tones.js').Heard[]} none without sound */
  function compare(signs) {
    const told = store.get().class;
    const { edges, heard } = inTurn(signs, told?.wpm ?? 18);
    return audio.sample(edges, told?.pitch_hz ?? 600) ? heard : [];
  }

  function startBeat() {
    const startRoomMs = Math.ceil((connection.roomMs() + 500) / BEAT_EVERY_MS) * BEAT_EVERY_MS;
    const edges = Array.from({ length: BEAT_COUNT }, (_, n) => [n * BEAT_EVERY_MS, n * BEAT_EVERY_MS + 60]);
    const pitch_hz = store.get().class?.pitch_hz ?? 600;
    audio.play({ push: BEAT, start_room_ms: startRoomMs, pitch_hz, level: 1, edges, shifts: [] });
  }

  function stopBeat() {
    const roomMs = connection.roomMs();
    if (!Number.isNaN(roomMs)) audio.halt({ push: BEAT, at_room_ms: roomMs });
  }

  connection.on('push', play);
  connection.on('shift', () => resumeAfter());
  connection.on('halt', audio.halt);
  setInterval(report, REPORT_EVERY_MS);
  setInterval(() => {
    hearTheRoom();
    shake();
  }, LOOK_EVERY_MS);
  document.addEventListener('visibilitychange', () => report());
  apply();

  /** The store has taken the shifts in before. */
  function resumeAfter() {
    const run = runOf(store.get());
    if (run !== null) play(run.push);
  }

  return Object.freeze({
    unlock: audio.unlock,
    stop: audio.stop,
    resume,
    report,
    test,
    compare,
    startBeat,
    stopBeat,
    apply,
    /** @param {Settings} changed */
    set(changed) {
      settings = changed;
      apply();
      report();
    },
  });
}

/** Whole steps that grow with the value, so that a trembling figure is not told again and again. @param {number} ms */
function coarse(ms) {
  if (!Number.isFinite(ms)) return FAR_MS;
  const step = ms < 10 ? 1 : ms < 50 ? 5 : 25;
  return step * Math.ceil(ms / step);
}
