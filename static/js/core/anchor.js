/**
 * Page time against audio time, from what an AudioContext says about itself. Pure: readings come in as arguments.
 *
 * The *lead* is audio time minus page time of what leaves the output at one instant. `getOutputTimestamp()` gives it;
 * where that is missing or stands still, `currentTime` minus the output latency stands in.
 *
 * After a stall of a busy machine stamps lie by some ms, at times by 60, and take 5 to 25 s to come back, while the
 * sound itself goes on evenly. Two things tell a lie. Settled stamps lie close together, lying ones on their way: the
 * lead is where recent stamps lie densest. And the *depth*, how far `currentTime` is ahead of the stamps, is the same
 * before and after: where there is a usual depth, stamps of another one are not believed, and `currentTime` stands in.
 * Outputs that take sound in large bites have no usual depth; and for a second after `currentTime` itself has slipped,
 * as a stall makes it, the depth is unknown.
 *
 * Tried on recordings and dropped: the median of the last 3 s follows every lie; a line fitted to 3 to 60 s is no
 * better; `currentTime` alone wavers by a millisecond, or by 50 with large bites.
 */
import { MS_PER_S } from './units.js';

/** @import { Milliseconds, Seconds } from './units.js' */

/**
 * What an AudioContext says about its time.
 * @typedef {object} Reading
 * @property {Milliseconds} pageMs  when it was read
 * @property {Seconds} currentS  `currentTime`
 * @property {Seconds} latencyS  `outputLatency`, or what is known instead
 * @property {Seconds} [contextS]  `getOutputTimestamp().contextTime`
 * @property {Milliseconds} [performanceMs]  `getOutputTimestamp().performanceTime`
 */

/** `depthMs`: NaN while unknown. @typedef {{ pageMs: Milliseconds, leadMs: Milliseconds, depthMs: Milliseconds }} Lead */

/**
 * @typedef {object} Anchor
 * @property {readonly Lead[]} leads  oldest first, all of one source
 * @property {readonly Lead[]} fronts  the leads of `currentTime` in the last second
 * @property {'timestamp' | 'latency' | 'none'} source
 * @property {Milliseconds} leadMs  NaN until known
 */

/** An output that has not yet sounded for so long says nothing reliable. */
const BEGUN_S = 0.1;
const KEPT_MS = 60_000;
const KEPT_EVERY_MS = 200;
const FIRST_COUNT = 10;
const READY_COUNT = 3;
/** A stamp further than this from now is no stamp of now. */
const STALE_MS = 1000;
const RECENT_MS = 1000;
/** Leads so close together support each other, and one so old counts for 1/e. */
const TOGETHER_MS = 1;
const FADING_MS = 5000;
/** The same for depths, which last longer but waver more. */
const DEPTH_TOGETHER_MS = 3;
const DEPTH_FADING_MS = 30_000;
const DEPTH_TOLERANCE_MS = 3;
/** There is a usual depth when it has this part of all support. */
const USUAL_PART = 0.2;
/** `currentTime` stands still between blocks: so many readings meet its highest. */
const FRONT_COUNT = 5;
/** So many stamps of the last second, all so far away, mean that the output itself has jumped. */
const RECENT_COUNT = 4;
const JUMP_MS = 12;

/** @returns {Anchor} */
export function createAnchor() {
  return Object.freeze({ leads: Object.freeze([]), fronts: Object.freeze([]), source: 'none', leadMs: NaN });
}

/**
 * The anchor after one more reading.
 * @param {Anchor} anchor
 * @param {Reading} reading
 * @returns {Anchor}
 */
export function withReading(anchor, reading) {
  if (!(reading.currentS > BEGUN_S)) return anchor;
  const { pageMs } = reading;
  const frontMs = reading.currentS * MS_PER_S - pageMs;
  const recent = anchor.fronts.filter((front) => front.pageMs > pageMs - RECENT_MS);
  const fronts = [...recent, { pageMs, leadMs: frontMs, depthMs: 0 }];
  const stampedMs = stampedLeadMs(reading);
  const source = Number.isFinite(stampedMs) ? 'timestamp' : 'latency';
  const leadMs = source === 'timestamp' ? stampedMs : frontMs - reading.latencyS * MS_PER_S;
  const before = anchor.source === source ? anchor.leads : [];
  const last = before[before.length - 1];
  if (before.length >= FIRST_COUNT && pageMs - last.pageMs < KEPT_EVERY_MS) return Object.freeze({ ...anchor, fronts });
  const depthMs = frontOf(fronts) - leadMs;
  const leads = [...before.filter((lead) => lead.pageMs > pageMs - KEPT_MS), { pageMs, leadMs, depthMs }];
  return Object.freeze({ leads, fronts, source, leadMs: leads.length < READY_COUNT ? NaN : leadOf(leads, source) });
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

/**
 * The lead of `currentTime`, the highest of a second.
 * @param {readonly Lead[]} fronts
 * @returns {Milliseconds} NaN while the latest readings do not meet it: it has slipped, or comes in large bites
 */
function frontOf(fronts) {
  const highest = Math.max(...fronts.map((front) => front.leadMs));
  const latest = Math.max(...fronts.slice(-FRONT_COUNT).map((front) => front.leadMs));
  return fronts.length >= FRONT_COUNT && highest - latest <= DEPTH_TOLERANCE_MS ? latest : NaN;
}

/** @param {readonly Lead[]} leads @param {Anchor['source']} source */
function leadOf(leads, source) {
  // currentTime stands still between blocks, so only its freshest, highest readings tell.
  if (source === 'latency') return quantile(since(leads, FADING_MS), 0.9);
  const believed = believedOf(leads);
  const { pageMs } = leads[leads.length - 1];
  const weights = believed.map((lead) => Math.exp((lead.pageMs - pageMs) / FADING_MS));
  const lead = densest(believed.map((one) => one.leadMs), weights, TOGETHER_MS).centre;
  const recent = since(believed, RECENT_MS);
  const jumped = recent.length >= RECENT_COUNT && recent.every((leadMs) => Math.abs(leadMs - lead) > JUMP_MS);
  return jumped ? quantile(recent, 0.5) : lead;
}

/**
 * The leads as they are to be believed: at another depth than the usual one, what `currentTime` says instead.
 * @param {readonly Lead[]} leads
 * @returns {readonly Lead[]}
 */
function believedOf(leads) {
  const { pageMs } = leads[leads.length - 1];
  const known = leads.filter((lead) => !Number.isNaN(lead.depthMs));
  if (known.length === 0) return leads;
  const weights = known.map((lead) => Math.exp((lead.pageMs - pageMs) / DEPTH_FADING_MS));
  const { centre, part } = densest(known.map((lead) => lead.depthMs), weights, DEPTH_TOGETHER_MS);
  if (part < USUAL_PART) return leads;
  return leads.map((lead) => {
    const lies = Math.abs(lead.depthMs - centre) > DEPTH_TOLERANCE_MS;
    return lies ? { ...lead, leadMs: lead.leadMs + lead.depthMs - centre } : lead;
  });
}

/** @param {readonly Lead[]} leads @param {Milliseconds} agoMs */
function since(leads, agoMs) {
  const { pageMs } = leads[leads.length - 1];
  return leads.filter((lead) => lead.pageMs > pageMs - agoMs).map((lead) => lead.leadMs);
}

/**
 * Where values lie densest: the mean of what supports the value with most support, and its part of all support.
 * @param {readonly number[]} values
 * @param {readonly number[]} weights
 * @param {number} reach  values further apart than this do not support each other
 */
function densest(values, weights, reach) {
  let best = { support: 0, sum: 0 };
  for (const centre of values) {
    let [support, sum] = [0, 0];
    for (let k = 0; k < values.length; k += 1) {
      const part = weights[k] * (1 - Math.abs(values[k] - centre) / reach);
      if (part <= 0) continue;
      support += part;
      sum += part * values[k];
    }
    if (support > best.support) best = { support, sum };
  }
  return { centre: best.sum / best.support, part: best.support / weights.reduce((sum, weight) => sum + weight) };
}

/** @param {readonly number[]} values @param {number} part */
function quantile(values, part) {
  return [...values].sort((a, b) => a - b)[Math.floor(part * (values.length - 1))];
}
