/** What a learner's page sounds for itself, beside the class: test tones, sounds to compare, a beat to set a slow output by. */
import { phaseOf } from '../core/learner_state.js';
import { inTurn } from '../core/tones.js';

const LOOK_EVERY_MS = 50;
const RAMP_MS = 2500;
const RAMP_FROM = 0.02;
/** Operators have always tested with this letter (common practice). */
const TEST_SIGNS = 'VVV';
/** A push of this page's own: a beat in room time. */
export const BEAT = -1;
const BEAT_EVERY_MS = 1000;
const BEAT_COUNT = 60;

/**
 * @param {object} wiring
 * @param {import('../core/learner_state.js').LearnerStore} wiring.store
 * @param {ReturnType<typeof import('./audio.js').createAudio>} wiring.audio
 * @param {() => number} wiring.roomMs
 * @param {() => void} wiring.onVolume  `volumePart` has changed
 */
export function createOwnSounds({ store, audio, roomMs, onVolume }) {
  /** Test tones grow from almost nothing up to the chosen volume. */
  let volumePart = 1;
  /** @type {ReturnType<typeof setInterval> | undefined} */
  let ramp;

  const pitchHz = () => store.get().class?.pitch_hz ?? 600;

  /** @param {number} part */
  function setVolumePart(part) {
    volumePart = part;
    onVolume();
    if (part === 1) clearInterval(ramp);
  }

  /** @param {string} signs  heard one after the other @returns {import('../core/tones.js').Heard[]} none without sound */
  function compare(signs) {
    const { edges, heard } = inTurn(signs, store.get().class?.wpm ?? 18);
    return audio.sample(edges, pitchHz()) ? heard : [];
  }

  return {
    volumePart: () => volumePart,
    compare,
    /** @returns {boolean} false while the class is sounding, between its sounds, too, or without sound here */
    test() {
      if (phaseOf(store.get(), roomMs()) === 'sounding' || compare(TEST_SIGNS).length === 0) return false;
      const startPageMs = performance.now();
      const grown = () => Math.min(1, (performance.now() - startPageMs) / RAMP_MS);
      clearInterval(ramp);
      ramp = setInterval(() => setVolumePart(RAMP_FROM + (1 - RAMP_FROM) * grown()), LOOK_EVERY_MS);
      setVolumePart(RAMP_FROM);
      return true;
    },
    startBeat() {
      const startRoomMs = Math.ceil((roomMs() + 500) / BEAT_EVERY_MS) * BEAT_EVERY_MS;
      const edges = Array.from({ length: BEAT_COUNT }, (_, n) => [n * BEAT_EVERY_MS, n * BEAT_EVERY_MS + 60]);
      audio.play({ push: BEAT, start_room_ms: startRoomMs, pitch_hz: pitchHz(), level: 1, edges, shifts: [] });
    },
    stopBeat() {
      const nowMs = roomMs();
      if (!Number.isNaN(nowMs)) audio.halt({ push: BEAT, at_room_ms: nowMs });
    },
  };
}
