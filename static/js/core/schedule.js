/**
 * When a push's symbols sound on this page's audio clock. Pure: readings and times come in as arguments.
 *
 * Room time becomes audio time anew for every symbol (clock.js, anchor.js), because the clocks drift.
 */
import { endRoomMs, startRoomMs } from './moment.js';

/** @import { Hertz, Milliseconds, Seconds } from './units.js' */

/**
 * A push as it comes over the wire, and how loud it is, from 0 to 1; `test_pitch_hz` is heard in the server's test mode.
 * `part`: of those parts of a run that come one by one, 0 for the run itself; `first`: the number of its first sound in
 * the run, by which it is reported; below 0 it is not.
 * @typedef {import('./moment.js').Sounds & { push: number, pitch_hz: Hertz, level: number, test_pitch_hz?: Hertz,
 *   part?: number, first?: number, sounds?: number }} Push  `sounds`: how many it has in all; more of them may come
 */

/** Time a sound needs between being handed over and its first sample. */
const HANDOVER_S = 0.01;

/**
 * Which symbols to hand to the audio now. A symbol sounds whole or not at all: one whose beginning has passed is left
 * out, and the rest goes on in step.
 * @param {Push} push
 * @param {number} next  first symbol not decided on yet
 * @param {object} now
 * @param {Seconds} now.currentS
 * @param {Seconds} now.lookAheadS
 * @param {Milliseconds} [now.haltRoomMs]  symbols that end later wait
 * @param {(roomMs: Milliseconds) => Seconds} now.roomToAudio  NaN while unknown
 * @returns {{ next: number, sound: { index: number, startS: Seconds }[] }}
 */
export function due(push, next, { currentS, lookAheadS, haltRoomMs = Infinity, roomToAudio }) {
  /** @type {{ index: number, startS: Seconds }[]} */
  const sound = [];
  let index = next;
  for (; index < push.edges.length; index += 1) {
    const startS = roomToAudio(startRoomMs(push, index));
    if (!(startS <= currentS + lookAheadS) || endRoomMs(push, index) > haltRoomMs) break;
    if (startS >= currentS + HANDOVER_S) sound.push({ index, startS });
  }
  return { next: index, sound };
}
