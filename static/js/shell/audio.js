/**
 * A page's sound: the AudioContext's life, its place in room time, the learner's own settings. Its commands come
 * straight from the socket, not through the store: a slow view must not delay a tone. The timer only decides when to
 * hand a symbol over; when it sounds is an exact audio time.
 */
import { createAnchor, scatterMs, toAudio, withReading } from '../core/anchor.js';
import { MS_PER_S } from '../core/units.js';
import { createPlayer } from './player.js';
import { createVoice } from './voice.js';

/** @typedef {import('../core/units.js').Milliseconds} Milliseconds */
/** @typedef {import('../core/units.js').Seconds} Seconds */
/** @typedef {import('../core/units.js').Hertz} Hertz */
/** @typedef {import('../core/schedule.js').Push} Push */

/** `locked`: no tap yet. `interrupted`: the system took the output away, as for a telephone call.
 * @typedef {'locked' | 'running' | 'suspended' | 'interrupted' | 'closed'} AudioState */

/**
 * What the learner chose on this device.
 * @typedef {object} Settings
 * @property {number} volume  0 to 1
 * @property {number} noise  soft noise under the tones, 0 to 1
 * @property {Hertz | null} pitchHz  own pitch; null: the instructor's
 * @property {Milliseconds} calibrationMs  how much later than it says this output sounds; tones are sent so much earlier
 * @property {boolean} silent  keep time, but leave the sound to another page
 */

const TICK_MS = 40;
const LOOK_AHEAD_S = 0.25;
/** A hidden page's timers may come once a second only. */
const HIDDEN_LOOK_AHEAD_S = 2.5;
const REPORT_EVERY_MS = 1000;
const SAMPLE_DELAY_S = 0.1;
/** @type {Settings} */
const QUIET = { volume: 0.3, noise: 0, pitchHz: null, calibrationMs: 0, silent: false };

/**
 * @param {object} wiring
 * @param {(roomMs: Milliseconds) => Milliseconds} wiring.roomToPage  NaN while the clock is not usable
 * @param {(state: AudioState) => void} [wiring.onState]
 * @param {(push: number, from: number, to: number) => void} [wiring.onSounded]  symbols from <= index < to sounded whole
 */
export function createAudio({ roomToPage, onState = () => {}, onSounded = () => {} }) {
  /** @type {{ context: AudioContext, voice: ReturnType<typeof createVoice> } | null} */
  let output = null;
  /** @type {import('./voice.js').Sound | null} */
  let sampled = null;
  let anchor = createAnchor();
  let settings = QUIET;
  let reportedMs = 0;
  let tickedMs = performance.now();
  let latenessMs = 0;

  const player = createPlayer({ now, sound, onSounded });

  function now() {
    return {
      currentS: output?.context.currentTime ?? 0,
      lookAheadS: document.hidden ? HIDDEN_LOOK_AHEAD_S : LOOK_AHEAD_S,
      roomToAudio: (/** @type {Milliseconds} */ roomMs) => toAudio(anchor, roomToPage(roomMs) - settings.calibrationMs),
    };
  }

  /** @param {Push} push @param {number} index @param {Seconds} startS */
  function sound(push, index, startS) {
    if (output === null || settings.silent) return null;
    stopSample();
    const pitchHz = push.test_pitch_hz ?? settings.pitchHz ?? push.pitch_hz;
    return output.voice.sound({ edges: push.edges[index], pitchHz }, push.level, startS);
  }

  const state = () => /** @type {AudioState} */ (output?.context.state ?? 'locked');

  /** From a tap; again from any tap, or when the page is shown again, while the state is not `running`. */
  async function unlock() {
    output ??= open();
    if (state() !== 'running') await output.context.resume();
    return state() === 'running';
  }

  function open() {
    tickedMs = performance.now();
    const context = new AudioContext();
    const voice = createVoice(context);
    voice.setVolume(settings.volume);
    voice.setNoise(settings.noise);
    context.onstatechange = onContextState;
    // Another output has another latency. Only secure pages are told; elsewhere the anchor finds out in half a minute.
    navigator.mediaDevices?.addEventListener('devicechange', () => (anchor = createAnchor()));
    document.addEventListener('visibilitychange', tick); // look far ahead before the timers slow down
    setInterval(tick, TICK_MS);
    return { context, voice };
  }

  function onContextState() {
    // While it was not running audio time stood still: sounds handed over would come late, old readings are void.
    if (state() !== 'running') player.silence();
    anchor = createAnchor();
    onState(state());
  }

  function tick() {
    noteLateness();
    if (output === null || state() !== 'running') return;
    anchor = withReading(anchor, readingOf(output.context));
    player.tick();
    if (performance.now() - reportedMs < REPORT_EVERY_MS) return;
    reportedMs = performance.now();
    player.report();
  }

  /** How late this page's timers come at their worst, half forgotten after half a minute: a push must come before. */
  function noteLateness() {
    const nowMs = performance.now();
    latenessMs = Math.max(nowMs - tickedMs - TICK_MS, 0.999 * latenessMs);
    tickedMs = nowMs;
  }

  /** Silence at once and forget all pushes. */
  function stop() {
    player.forget();
    stopSample();
  }

  /**
   * Tones of this page alone: a sound check, or two symbols one after the other.
   * @param {readonly Milliseconds[]} edges  on, off, on, off ...
   * @param {Hertz} pitchHz  where the learner has not chosen one
   * @returns {boolean} false when there is no sound now, or the class is sounding
   */
  function sample(edges, pitchHz) {
    if (output === null || state() !== 'running' || player.isSounding()) return false;
    stopSample();
    const tones = { edges, pitchHz: settings.pitchHz ?? pitchHz };
    sampled = output.voice.sound(tones, 1, output.context.currentTime + SAMPLE_DELAY_S);
    return true;
  }

  function stopSample() {
    sampled?.stop(0);
    sampled = null;
  }

  /** @param {Partial<Settings>} changed */
  function set(changed) {
    settings = { ...settings, ...changed };
    output?.voice.setVolume(settings.volume);
    output?.voice.setNoise(settings.noise);
    if (settings.silent) player.silence();
  }

  /** What the page shows and reports about its sound. */
  function status() {
    const latencyMs = (output?.context.outputLatency ?? 0) * MS_PER_S;
    return { state: state(), source: anchor.source, scatterMs: scatterMs(anchor), latencyMs, latenessMs };
  }

  return Object.freeze({ unlock, play: player.play, halt: player.halt, stop, sample, set, status });
}

/** @param {AudioContext} context @returns {import('../core/anchor.js').Reading} */
function readingOf(context) {
  const stamp = context.getOutputTimestamp?.();
  return {
    pageMs: performance.now(),
    currentS: context.currentTime,
    latencyS: context.outputLatency ?? context.baseLatency ?? 0,
    contextS: stamp?.contextTime,
    performanceMs: stamp?.performanceTime,
  };
}
