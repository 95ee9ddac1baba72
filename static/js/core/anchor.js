/**
 * Page time against audio time, from what an AudioContext says about itself. Pure: readings come in as arguments.
 *
 * The *lead* is audio time minus page time of what leaves the output at one instant. `getOutputTimestamp()` gives it;
 * where that is missing or stands still, `currentTime` minus the output latency stands in.
 *
 * A busy machine makes stamps lie: after a stall they wander by some ms, and come back within 5 to 15 s, while the
 * sound itself goes on evenly. Settled stamps lie close together, lying ones on their way; so the lead is where recent
 * stamps lie densest, new ones counting for more. Measured on recordings with the machine overloaded, that halved the
 * errors that were left by the median of the last 3 s; a line fitted to 3 to 60 s was no better than the median, and
 * `currentTime` itself is worse: it moves in bursts. Only when all stamps of the last second lie far away has the
 * output itself jumped, as with another device.
 */
import { MS_PER_S } from './units.js';

/** @typedef {import('./units.js').Milliseconds} Milliseconds */
/** @typedef {import('./units.js').Seconds} Seconds */

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
 * @property {Milliseconds} leadMs  NaN until known
 */

const KEPT_MS = 12_000;
const KEPT_EVERY_MS = 150;
const FIRST_COUNT = 10;
const READY_COUNT = 3;
/** A stamp further than this from now is no stamp of now. */
const STALE_MS = 1000;
/** Stamps so close together support each other. */
const TOGETHER_MS = 1;
/** A stamp so old counts for 1/e. */
const FADING_MS = 5000;
const RECENT_MS = 1000;
const RECENT_COUNT = 5;
const JUMP_MS = 12;

/** @returns {Anchor} */
export function createAnchor() {
  return Object.freeze({ leads: Object.freeze([]), source: 'none', leadMs: NaN });
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
  const last = before[before.length - 1];
  if (before.length >= FIRST_COUNT && reading.pageMs - last.pageMs < KEPT_EVERY_MS) return anchor;
  const kept = before.filter((lead) => lead.pageMs > reading.pageMs - KEPT_MS);
  const leads = Object.freeze([...kept, Object.freeze({ pageMs: reading.pageMs, leadMs })]);
  return Object.freeze({ leads, source, leadMs: leads.length < READY_COUNT ? NaN : leadOf(leads, source) });
}

/**
 * @param {Anchor} anchor
 * @param {Milliseconds} pageMs
 * @returns {Seconds} NaN before the anchor is ready
 */
export function toAudio(anchor, pageMs) {
  return (pageMs + anchor.leadMs) / MS_PER_S;
}

/**
 * How far stamps of the last second lie from the lead, as a median: what `toAudio` is likely to be off.
 * @param {Anchor} anchor
 * @returns {Milliseconds} Infinity before the anchor is ready
 */
export function scatterMs(anchor) {
  if (Number.isNaN(anchor.leadMs)) return Infinity;
  return quantile(since(anchor.leads, RECENT_MS).map((leadMs) => Math.abs(leadMs - anchor.leadMs)), 0.5);
}

/** @param {Reading} reading @returns {Milliseconds} NaN when there is no stamp of now */
function stampedLeadMs({ contextS = 0, performanceMs = 0, pageMs }) {
  const ofNow = contextS > 0 && performanceMs > 0 && Math.abs(performanceMs - pageMs) < STALE_MS;
  return ofNow ? contextS * MS_PER_S - performanceMs : NaN;
}

/** @param {readonly Lead[]} leads @param {Anchor['source']} source */
function leadOf(leads, source) {
  // currentTime stands still between blocks, so only its freshest, highest readings tell.
  if (source === 'latency') return quantile(since(leads, FADING_MS), 0.9);
  const densest = densestOf(leads);
  const recent = since(leads, RECENT_MS);
  const jumped = recent.length >= RECENT_COUNT && recent.every((leadMs) => Math.abs(leadMs - densest) > JUMP_MS);
  return jumped ? quantile(recent, 0.5) : densest;
}

/** @param {readonly Lead[]} leads @param {Milliseconds} agoMs */
function since(leads, agoMs) {
  const { pageMs } = leads[leads.length - 1];
  return leads.filter((lead) => lead.pageMs > pageMs - agoMs).map((lead) => lead.leadMs);
}

/**
 * Where the leads lie densest: of all leads the one with most support, and then the mean of what supports it.
 * @param {readonly Lead[]} leads
 */
function densestOf(leads) {
  const { pageMs: nowMs } = leads[leads.length - 1];
  const weights = leads.map((lead) => Math.exp((lead.pageMs - nowMs) / FADING_MS));
  let best = { support: 0, sum: 0 };
  for (const { leadMs: centre } of leads) {
    let [support, sum] = [0, 0];
    leads.forEach(({ leadMs }, k) => {
      const part = weights[k] * Math.max(0, 1 - Math.abs(leadMs - centre) / TOGETHER_MS);
      support += part;
      sum += part * leadMs;
    });
    if (support > best.support) best = { support, sum };
  }
  return best.sum / best.support;
}

/** @param {readonly number[]} values @param {number} part */
function quantile(values, part) {
  return [...values].sort((a, b) => a - b)[Math.floor(part * (values.length - 1))];
}
