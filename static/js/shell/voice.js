/**
 * The nodes that make the sound: tones at the learner's volume, and a bed of soft noise that never quite stops.
 * Works the same in an OfflineAudioContext.
 */
import { EDGE_MS, rise, samples } from '../core/envelope.js';
import { MS_PER_S } from '../core/units.js';

/** @import { Seconds } from '../core/units.js' */

/** Tone and noise together stay under full scale at any volume. */
const TONE_PEAK = 0.8;
const NOISE_PEAK = 0.15;
/** An output left wholly silent may be parked by the system and come back milliseconds off; nobody hears this. */
const KEEP_ALIVE = 1e-5;
const NOISE_CUTOFF_HZ = 1500;
const NOISE_LOOP_S = 4;
const VOLUME_RAMP_S = 0.05;

/** @typedef {ReturnType<typeof createVoice>} Voice */
/** @typedef {{ startS: Seconds, endS: Seconds, stop: (atS: Seconds) => void }} Sound */

/** @param {BaseAudioContext} context */
export function createVoice(context) {
  const tone = context.createGain();
  tone.gain.value = 0;
  tone.connect(context.destination);
  const bed = createBed(context);

  /** @param {AudioParam} param @param {number} value */
  const glide = (param, value) => param.setTargetAtTime(value, context.currentTime, VOLUME_RAMP_S / 3);

  return Object.freeze({
    /** @param {number} volume  0 to 1; squared, because loudness is heard more like that (common practice) */
    setVolume: (volume) => glide(tone.gain, TONE_PEAK * volume ** 2),
    /** @param {number} noise  0 to 1, in the same way */
    setNoise: (noise) => glide(bed.gain, Math.max(KEEP_ALIVE, NOISE_PEAK * noise ** 2)),
    /**
     * @param {import('../core/envelope.js').Tones} tones
     * @param {number} level  0 to 1
     * @param {Seconds} startS  when the first tone begins: any fraction of a sample
     * @returns {Sound}
     */
    sound: (tones, level, startS) => sound(context, tone, tones, level, startS),
  });
}

/**
 * @param {BaseAudioContext} context
 * @param {AudioNode} output
 * @param {import('../core/envelope.js').Tones} tones
 * @param {number} level
 * @param {Seconds} startS
 * @returns {Sound}
 */
function sound(context, output, tones, level, startS) {
  const rate = context.sampleRate;
  const firstMs = tones.edges[0];
  // The buffer begins on a whole frame; the samples carry the rest, so that nothing is interpolated.
  const frame = Math.floor((startS - EDGE_MS / 2 / MS_PER_S) * rate);
  const made = samples(tones, firstMs + (frame / rate - startS) * MS_PER_S, rate);
  const buffer = context.createBuffer(1, made.length, rate);
  buffer.copyToChannel(made, 0);
  const source = new AudioBufferSourceNode(context, { buffer });
  const gain = new GainNode(context, { gain: level });
  source.connect(gain).connect(output);
  source.onended = () => gain.disconnect();
  source.start(frame / rate);
  return {
    startS,
    endS: startS + (tones.edges[tones.edges.length - 1] - firstMs) / MS_PER_S,
    stop: (atS) => fade(source, gain, level, Math.max(atS, context.currentTime)),
  };
}

/** Silent EDGE_MS after `atS`, without a click. */
const FADE = Float32Array.from({ length: 65 }, (_, i) => rise((0.5 - i / 64) * EDGE_MS));

/** @param {AudioScheduledSourceNode} source @param {GainNode} gain @param {number} level @param {Seconds} atS */
function fade(source, gain, level, atS) {
  gain.gain.cancelScheduledValues(0); // an earlier stop comes after a later one
  gain.gain.setValueCurveAtTime(FADE.map((part) => part * level), atS, EDGE_MS / MS_PER_S);
  source.stop(atS + EDGE_MS / MS_PER_S);
}

/** @param {BaseAudioContext} context */
function createBed(context) {
  const rate = context.sampleRate;
  const buffer = context.createBuffer(1, Math.round(NOISE_LOOP_S * rate), rate);
  buffer.copyToChannel(Float32Array.from({ length: buffer.length }, () => 2 * Math.random() - 1), 0);
  const source = new AudioBufferSourceNode(context, { buffer, loop: true });
  const soft = new BiquadFilterNode(context, { type: 'lowpass', frequency: NOISE_CUTOFF_HZ, Q: 0 });
  const bed = new GainNode(context, { gain: KEEP_ALIVE });
  source.connect(soft).connect(bed).connect(context.destination);
  source.start();
  return bed;
}
