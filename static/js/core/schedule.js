/**
 * When a push's symbols sound on this page's audio clock. Pure: readings and times come in as arguments.
 *
 * Page time becomes audio time through the *lead*: audio time minus page time of what leaves the output at one
 * instant. `getOutputTimestamp()` gives it directly; where that is missing or does not move, `currentTime` minus the
 * output latency stands in. Both clocks drift apart by up to some hundred ppm and single readings lie, so the lead
 * comes from a window of readings, anew for every symbol.
 */
import { MS_PER_S } from './units.js';

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

/**
 * What an AudioContext says about its time.
 * @typedef {object} Reading
 * @property {Milliseconds} pageMs  when it was read
 * @property {Seconds} currentS  `currentTime`
 * @property {Seconds} latencyS  `outputLatency`, or what is known instead
 * @property {Seconds} [contextS]  `getOutputTimestamp().contextTime`
 * @property {Milliseconds} [performanceMs]  `getOutputTimestamp().performanceTime`
 */

/** @typedef {{ pageMs: Milliseconds, leadMs: Milliseconds }} Lead */

/**
 * @typedef {object} Anchor
 * @property {readonly Lead[]} leads  oldest first, all of one source
 * @property {'timestamp' | 'latency' | 'none'} source
 */

const WINDOW_MS = 3000;
const READY_COUNT = 3;
/** A stamp further than this from now is no stamp of now. */
const STALE_MS = 1000;
/** Time a sound needs between being handed over and its first sample. */
const HANDOVER_S = 0.01;

/** @returns {Anchor} */
export function createAnchor() {
  return Object.freeze({ leads: Object.freeze([]), source: 'none' });
}

/**
 * The anchor after one more reading.
 * @param {Anchor} anchor
 * @param {Reading} reading
 * @returns {Anchor}
 */
export function withReading(anchor, reading) {
  if (!(reading.currentS > 0)) return anchor;
  const stampedMs = stampedLeadMs(reading);
  const source = Number.isFinite(stampedMs) ? 'timestamp' : 'latency';
  const leadMs = source === 'timestamp' ? stampedMs : (reading.currentS - reading.latencyS) * MS_PER_S - reading.pageMs;
  const before = anchor.source === source ? anchor.leads : [];
  const kept = before.filter((lead) => lead.pageMs > reading.pageMs - WINDOW_MS);
  return Object.freeze({ leads: Object.freeze([...kept, { pageMs: reading.pageMs, leadMs }]), source });
}

/** @param {Anchor} anchor */
export function isReady(anchor) {
  return anchor.leads.length >= READY_COUNT;
}

/**
 * @param {Anchor} anchor
 * @param {Milliseconds} pageMs
 * @returns {Seconds} NaN before the anchor is ready
 */
export function toAudio(anchor, pageMs) {
  return isReady(anchor) ? (pageMs + leadOf(anchor)) / MS_PER_S : NaN;
}

/**
 * How far apart recent readings lie: what `toAudio` is likely to be off.
 * @param {Anchor} anchor
 * @returns {Milliseconds} Infinity before the anchor is ready
 */
export function scatterMs(anchor) {
  if (!isReady(anchor)) return Infinity;
  const middle = leadOf(anchor);
  return quantile(anchor.leads.map((lead) => Math.abs(lead.leadMs - middle)), 0.5);
}

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

/** @param {Reading} reading @returns {Milliseconds} NaN when there is no stamp of now */
function stampedLeadMs({ contextS = 0, performanceMs = 0, pageMs }) {
  const ofNow = contextS > 0 && performanceMs > 0 && Math.abs(performanceMs - pageMs) < STALE_MS;
  return ofNow ? contextS * MS_PER_S - performanceMs : NaN;
}

/** @param {Anchor} anchor */
function leadOf({ leads, source }) {
  // currentTime stands still between blocks, so only its freshest (highest) readings tell; stamps lie both ways.
  return quantile(leads.map((lead) => lead.leadMs), source === 'latency' ? 0.9 : 0.5);
}

/** @param {number[]} values @param {number} part */
function quantile(values, part) {
  const sorted = values.sort((a, b) => a - b);
  return sorted[Math.floor(part * (sorted.length - 1))];
}
