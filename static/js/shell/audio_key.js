/**
 * A key of one's own, or an oscillator, through the computer's audio input. A browser gives a page its input only over
 * https or on this machine, and only when the person says so.
 */
import { createEar } from '../core/level_ear.js';
import { MS_PER_S } from '../core/units.js';

/** @import { Milliseconds } from '../core/units.js' */
/** @typedef {{ close: () => void, isClear: () => boolean }} AudioKey */

/** What is missing for it, in a sentence; "" when it can be asked for. */
export function lackingForInput() {
  if (!window.isSecureContext) return 'A key through the audio input needs this page over https, by a certificate, or on the server’s own machine. Here it came without.';
  return navigator.mediaDevices?.getUserMedia === undefined ? 'This browser has no audio input for pages.' : '';
}

/**
 * Ask for the input and follow it.
 * @param {(isDown: boolean, atMs: Milliseconds) => void} onEdge  in page time
 * @returns {Promise<AudioKey>}
 */
export async function openAudioKey(onEdge) {
  const asked = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
  const stream = await navigator.mediaDevices.getUserMedia({ audio: asked });
  const context = new AudioContext({ latencyHint: 'interactive' });
  await context.audioWorklet.addModule(new URL('./level_worklet.js', import.meta.url));
  const levels = new AudioWorkletNode(context, 'levels', { numberOfOutputs: 0, channelCount: 1, channelCountMode: 'explicit' });
  const ear = createEar();
  const source = context.createMediaStreamSource(stream);
  source.connect(levels);
  /** What lies between both clocks; the earliest a message came says it best. */
  let offsetMs = Infinity;
  let before = 0;
  levels.port.onmessage = (/** @type {MessageEvent<{ squares: number[], endS: number, blockS: number }>} */ { data }) => {
    offsetMs = Math.min(offsetMs, performance.now() - data.endS * MS_PER_S);
    data.squares.forEach((square, n) => {
      const level = Math.sqrt((before + square) / 2); // two blocks: a low tone has few waves in one
      before = square;
      const atMs = (data.endS - (data.squares.length - n) * data.blockS) * MS_PER_S + offsetMs;
      const edge = ear.hear(level, atMs);
      if (edge !== null) onEdge(edge.isDown, edge.atMs);
    });
  };
  return Object.freeze({
    isClear: ear.isClear,
    close() {
      levels.port.onmessage = null;
      stream.getTracks().forEach((track) => track.stop());
      void context.close();
    },
  });
}
