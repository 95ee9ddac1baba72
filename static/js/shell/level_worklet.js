/** On the audio's own thread: how loud the input is, block by block, without the hum of the mains. */

/** What an AudioWorklet's scope has; the page's types do not know it.
 * @typedef {{ AudioWorkletProcessor: new () => { port: MessagePort }, sampleRate: number, currentTime: number,
 *   registerProcessor: (name: string, kind: new () => unknown) => void }} Scope */
const scope = /** @type {Scope} */ (/** @type {unknown} */ (globalThis));
const HUM_HZ = 150;
const BLOCKS = 4;

class Levels extends scope.AudioWorkletProcessor {
  constructor() {
    super();
    this.through = 1 - Math.exp((-2 * Math.PI * HUM_HZ) / scope.sampleRate);
    this.low = 0;
    /** Mean squares of the last blocks that were not told yet. @type {number[]} */
    this.squares = [];
  }

  /** @param {Float32Array[][]} inputs */
  process([[samples]]) {
    if (samples === undefined) return true;
    let sum = 0;
    for (const sample of samples) {
      this.low += this.through * (sample - this.low);
      sum += (sample - this.low) ** 2;
    }
    this.squares.push(sum / samples.length);
    if (this.squares.length === BLOCKS) {
      const endS = scope.currentTime + samples.length / scope.sampleRate;
      this.port.postMessage({ squares: this.squares, endS, blockS: samples.length / scope.sampleRate });
      this.squares = [];
    }
    return true;
  }
}

scope.registerProcessor('levels', Levels);
