/**
 * The console's own sound: it is the class's loudspeaker, or the instructor listens in, or wants to hear two sounds.
 * It follows every push, and stays silent unless one of these holds.
 */
import { inTurn } from '../core/tones.js';
import { createAudio } from './audio.js';

/** @import { ShiftOut, SoundOut, SoundPartOut } from '../wire.js' */
/** @import { Pushed } from '../core/moment.js' */
/** @typedef {ReturnType<typeof createConsoleSound>} ConsoleSound */

/**
 * @param {object} wiring
 * @param {(roomMs: number) => number} wiring.roomToPage
 * @param {() => void} wiring.onChange  the sound's state is another one
 */
export function createConsoleSound({ roomToPage, onChange }) {
  const audio = createAudio({ roomToPage, onState: onChange });
  let isLoudspeaker = false;
  let listensIn = false;
  let volume = 0.3;
  /** @type {Pushed | null} */
  let push = null;
  audio.set({ silent: true, volume });

  const settle = () => {
    audio.set({ silent: !isLoudspeaker && !listensIn });
    onChange();
  };

  /** @param {import('../wire.js').RunShape} next */
  function play(next) {
    push = /** @type {Pushed} */ (next);
    audio.play({ ...push, level: 1 });
  }

  /** What comes by itself, beside a run or within it. @param {SoundPartOut} part */
  const playPart = (part) => audio.play({ ...part, level: 1 });

  /** @param {ShiftOut} shifted */
  function goOn({ push: number, shifts }) {
    if (push?.push === number) play({ ...push, shifts });
  }

  /** From a tap. @param {boolean} on */
  async function listenIn(on) {
    listensIn = on;
    if (on) await audio.unlock();
    settle();
  }

  /** From a tap: how long it sounds in ms, 0 when there is no sound now. @param {string} a @param {string} b @param {SoundOut} sound */
  async function pair(a, b, sound) {
    await audio.unlock();
    const { edges } = inTurn(a + b, sound.wpm);
    return audio.sample(edges, sound.pitch_hz) ? edges[edges.length - 1] : 0;
  }

  return Object.freeze({
    play,
    playPart,
    goOn,
    halt: audio.halt,
    pair,
    listenIn,
    unlock: () => audio.unlock().then(settle),
    /** @param {boolean} on */
    beLoudspeaker: (on) => {
      if (on === isLoudspeaker) return;
      isLoudspeaker = on;
      settle();
    },
    /** @param {number} level  0 to 1 */
    setVolume: (level) => {
      volume = level;
      audio.set({ volume });
      onChange();
    },
    status: () => ({ listensIn, isLoudspeaker, volume, running: audio.status().state === 'running' }),
  });
}
