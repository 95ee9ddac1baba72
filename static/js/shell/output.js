/**
 * A page's output of sound: its AudioContext from the first tap on, the voice in it, and its place in page time.
 * The ticking only says when to look; when a tone sounds is an exact audio time.
 */
import { createAnchor, scatterMs, toAudio, withReading } from '../core/anchor.js';
import { MS_PER_S } from '../core/units.js';
import { createVoice } from './voice.js';

/** @import { Milliseconds, Seconds } from '../core/units.js' */
/** @import { Voice } from './voice.js' */

/** `locked`: no tap yet. `interrupted`: the system took the output away, as for a telephone call.
 * @typedef {'locked' | 'running' | 'suspended' | 'interrupted' | 'closed'} AudioState */

const TICK_MS = 40;

/**
 * @param {object} wiring
 * @param {(voice: Voice) => void} wiring.onOpen  there is a voice from now on
 * @param {(state: AudioState) => void} wiring.onState
 * @param {() => void} wiring.onTick  regularly while it runs
 */
export function createOutput({ onOpen, onState, onTick }) {
  /** @type {{ context: AudioContext, voice: Voice } | null} */
  let output = null;
  let anchor = createAnchor();
  let tickedMs = performance.now();
  let latenessMs = 0;

  const state = () => /** @type {AudioState} */ (output?.context.state ?? 'locked');

  function open() {
    tickedMs = performance.now();
    const context = new AudioContext();
    const voice = createVoice(context);
    onOpen(voice);
    context.onstatechange = () => {
      anchor = createAnchor(); // while it was not running audio time stood still: old readings are void
      onState(state());
    };
    // Another output has another latency. Only secure pages are told; elsewhere the anchor finds out in half a minute.
    navigator.mediaDevices?.addEventListener('devicechange', () => (anchor = createAnchor()));
    document.addEventListener('visibilitychange', tick); // look far ahead before the timers slow down
    setInterval(tick, TICK_MS);
    return { context, voice };
  }

  function tick() {
    noteLateness();
    if (output === null || state() !== 'running') return;
    anchor = withReading(anchor, readingOf(output.context));
    onTick();
  }

  /** How late this page's timers come at their worst, half forgotten after half a minute: a push must come before. */
  function noteLateness() {
    const nowMs = performance.now();
    latenessMs = Math.max(nowMs - tickedMs - TICK_MS, 0.999 * latenessMs);
    tickedMs = nowMs;
  }

  return Object.freeze({
    /** From a tap; again from any tap, or when the page is shown again, while the state is not `running`. */
    async unlock() {
      output ??= open();
      if (state() !== 'running') await output.context.resume();
      return state() === 'running';
    },
    state,
    voice: () => output?.voice ?? null,
    /** @returns {Seconds} */
    currentS: () => output?.context.currentTime ?? 0,
    /** @param {Milliseconds} pageMs @returns {Seconds} NaN before it is known */
    toAudio: (pageMs) => toAudio(anchor, pageMs),
    /** What the page shows and reports about its sound. */
    status: () => ({
      state: state(), source: anchor.source, scatterMs: scatterMs(anchor), latenessMs,
      latencyMs: (output?.context.outputLatency ?? 0) * MS_PER_S,
    }),
  });
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
