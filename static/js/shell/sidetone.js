/**
 * The tone that a sender hears of their own key. It is set in the handler of the key itself, at the audio time of then:
 * no timer and no drawing stands between. What a keyer makes is set ahead, at exact audio times.
 */
import { MS_PER_S } from '../core/units.js';

/** @import { Hertz, Milliseconds, Seconds } from '../core/units.js' */
/** @typedef {ReturnType<typeof createSidetone>} Sidetone */

/** An edge's time constant: after three of them it is done, within 3 ms. */
const EDGE_S = 0.001;
const TONE_PEAK = 0.8;

/** @param {object} first @param {number} first.volume  0 to 1 @param {Hertz} first.pitchHz */
export function createSidetone({ volume, pitchHz }) {
  const context = new AudioContext({ latencyHint: 'interactive' });
  const oscillator = new OscillatorNode(context, { frequency: pitchHz });
  const gate = new GainNode(context, { gain: 0 });
  const level = new GainNode(context, { gain: TONE_PEAK * volume ** 2 }); // squared, as everywhere on this page
  oscillator.connect(gate).connect(level).connect(context.destination);
  oscillator.start();

  /** @param {boolean} on @param {Seconds} [atS] */
  function edge(on, atS = context.currentTime) {
    gate.gain.setTargetAtTime(on ? 1 : 0, Math.max(atS, context.currentTime), EDGE_S);
  }

  /** Where a time of the page lies, by what both clocks say now; what is past is now. @param {Milliseconds} pageMs @returns {Seconds} */
  const atPage = (pageMs) => context.currentTime + Math.max(0, pageMs - performance.now()) / MS_PER_S;

  return Object.freeze({
    edge,
    atPage,
    /** From a tap. @returns {Promise<boolean>} whether it can be heard now */
    async wake() {
      if (context.state !== 'running') await context.resume();
      return context.state === 'running';
    },
    isAwake: () => context.state === 'running',
    /** @param {{ volume: number, pitchHz: Hertz }} settings */
    set(settings) {
      level.gain.value = TONE_PEAK * settings.volume ** 2;
      oscillator.frequency.value = settings.pitchHz;
    },
    /** Tones to be heard by this page alone. @param {readonly Milliseconds[]} edges  on, off, on, off ... from now on */
    play(edges) {
      const startS = context.currentTime + 0.1;
      gate.gain.cancelScheduledValues(context.currentTime);
      edges.forEach((ms, n) => edge(n % 2 === 0, startS + ms / MS_PER_S));
    },
    /** What the device itself adds, between setting a tone and hearing it. @returns {Milliseconds} */
    delayMs: () => ((context.outputLatency || 0) + (context.baseLatency || 0)) * MS_PER_S,
    close: () => void context.close(),
  });
}
