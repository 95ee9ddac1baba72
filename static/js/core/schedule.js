/**
 * When a push's symbols sound on this page's audio clock. Pure: readings and times come in as arguments.
 *
 * Room time becomes audio time anew for every symbol (clock.js, anchor.js), because the clocks drift.
 */

/** @typedef {import('./units.js').Milliseconds} Milliseconds */
/** @typedef {import('./units.js').Seconds} Seconds */
/** @typedef {import('./units.js').Hertz} Hertz */

/**
 * A push as it comes over the wire.
 * @typedef {object} Push
 * @property {number} push  its number
 * @property {Milliseconds} start_room_ms
 * @property {Hertz} pitch_hz
 * @property {number} level  0 to 1
 * @property {readonly (readonly Milliseconds[])[]} edges  for each symbol on, off, on, off ... after the push's start
 * @property {readonly { from: number, shift_ms: Milliseconds }[]} shifts  after a pause: symbols from index `from` on
 *   come so much later; later entries override
 * @property {Hertz} [test_pitch_hz]
 */

/** Time a sound needs between being handed over and its first sample. */
const HANDOVER_S = 0.01;

/**
 * @param {Push} push
 * @param {number} index
 * @returns {Milliseconds} when the symbol's first tone begins, in room time
 */
export function startRoomMs(push, index) {
  return push.start_room_ms + shiftMs(push, index) + push.edges[index][0];
}

/**
 * @param {Push} push
 * @param {number} index
 * @returns {Milliseconds} when the symbol's last tone ends, in room time
 */
export function endRoomMs(push, index) {
  const edges = push.edges[index];
  return push.start_room_ms + shiftMs(push, index) + edges[edges.length - 1];
}

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

/** @param {Push} push @param {number} index */
function shiftMs(push, index) {
  let shift = 0;
  for (const { from, shift_ms } of push.shifts) if (from <= index) shift = shift_ms;
  return shift;
}
