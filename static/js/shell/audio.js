/**
 * A page's sound: what of each push goes to the output, and when, with the learner's own settings. Its commands come
 * straight from the socket, not through the store: a slow view must not delay a tone.
 */
import { createOutput } from './output.js';
import { createPlayer } from './player.js';

/** @import { Hertz, Milliseconds, Seconds } from '../core/units.js' */
/** @import { Push } from '../core/schedule.js' */

/**
 * What the learner chose on this device.
 * @typedef {object} Settings
 * @property {number} volume  0 to 1
 * @property {number} noise  soft noise under the tones, 0 to 1
 * @property {Hertz | null} pitchHz  own pitch; null: the instructor's
 * @property {Milliseconds} calibrationMs  how much later than it says this output sounds; tones are sent so much earlier
 * @property {boolean} silent  keep time, but leave the sound to another page
 */

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
 * @param {(state: import('./output.js').AudioState) => void} wiring.onState
 * @param {(push: number, from: number, to: number) => void} [wiring.onSounded]  symbols from <= index < to sounded whole
 */
export function createAudio({ roomToPage, onState, onSounded = () => {} }) {
  let settings = QUIET;
  let reportedMs = 0;
  const output = createOutput({ onOpen: (voice) => tune(voice, settings), onState: stateChanged, onTick: tick });
  const player = createPlayer({ now, sound, onSounded });
  const own = createSample();

  function now() {
    return {
      currentS: output.currentS(),
      lookAheadS: document.hidden ? HIDDEN_LOOK_AHEAD_S : LOOK_AHEAD_S,
      roomToAudio: (/** @type {Milliseconds} */ roomMs) => output.toAudio(roomToPage(roomMs) - settings.calibrationMs),
    };
  }

  /** @param {Push} push @param {number} index @param {Seconds} startS */
  function sound(push, index, startS) {
    const voice = output.voice();
    if (voice === null || settings.silent) return null;
    own.stop();
    const pitchHz = push.test_pitch_hz ?? settings.pitchHz ?? push.pitch_hz;
    return voice.sound({ edges: push.edges[index], pitchHz }, push.level, startS);
  }

  /** @param {import('./output.js').AudioState} state */
  function stateChanged(state) {
    if (state !== 'running') player.silence(); // sounds handed over would come late
    onState(state);
  }

  function tick() {
    player.tick();
    if (performance.now() - reportedMs < REPORT_EVERY_MS) return;
    reportedMs = performance.now();
    player.report();
  }

  /** Silence at once and forget all pushes. */
  function stop() {
    player.forget();
    own.stop();
  }

  /**
   * Tones of this page alone: a sound check, or two symbols one after the other.
   * @param {readonly Milliseconds[]} edges  on, off, on, off ...
   * @param {Hertz} pitchHz  where the learner has not chosen one
   * @returns {boolean} false when there is no sound now, or the class is sounding
   */
  function sample(edges, pitchHz) {
    const voice = output.voice();
    if (voice === null || output.state() !== 'running' || player.isSounding()) return false;
    own.play(voice.sound({ edges, pitchHz: settings.pitchHz ?? pitchHz }, 1, output.currentS() + SAMPLE_DELAY_S));
    return true;
  }

  /** @param {Partial<Settings>} changed */
  function set(changed) {
    settings = { ...settings, ...changed };
    tune(output.voice(), settings);
    if (settings.silent) player.silence();
  }

  return Object.freeze({ unlock: output.unlock, play: player.play, halt: player.halt, stop, sample, set, status: output.status });
}

/** @param {import('./voice.js').Voice | null} voice @param {Settings} settings */
function tune(voice, { volume, noise }) {
  voice?.setVolume(volume);
  voice?.setNoise(noise);
}

/** One sound of this page alone at a time. */
function createSample() {
  /** @type {import('./voice.js').Sound | null} */
  let sounding = null;
  const stop = () => {
    sounding?.stop(0);
    sounding = null;
  };
  return {
    stop,
    /** @param {import('./voice.js').Sound} next */
    play(next) {
      stop();
      sounding = next;
    },
  };
}
