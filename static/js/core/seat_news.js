/**
 * What the console says of each learner and of the class, in words. Pure.
 *
 * "Urgent" is what needs the instructor now: it is the only text in red.
 */

/** @import { CopyProgress, SeatOut } from '../wire.js' */
/** @import { Phase } from './moment.js' */

/**
 * @typedef {object} SeatNews
 * @property {string} words
 * @property {boolean} urgent  needs the instructor now
 * @property {number} written  part of what sounded so far, 0 to 1
 * @property {boolean} onPaper
 */

const SILENT_S = 10;
/** Sounds up to some 5 ms apart fuse to one (click experiments, JARO 2013, PMC3767875). */
const FUSED_MS = 5;
/** Further apart than this, the dots of fast code run into each other. */
const SMEARED_MS = 30;
/** A browser that has not compared its clock with the room's yet cannot say how sure it is, and reports the largest number. */
const UNKNOWN_MS = 10_000;
const NAMED_COUNT = 2;
/** Whose sheets are missing. */
const MISSING_COUNT = 4;
export const ALL_IN = 'all sheets are in';

/**
 * What the room's panel says of one seat.
 * @param {SeatOut} seat
 * @param {CopyProgress | undefined} copy
 * @param {{ hearing: string, source: number, phase: Phase, begun: number, sent: number, sinceStartMs: number, counted: boolean,
 *   endMs: (index: number) => number }} now  endMs: when a sound of the run ends, after its start
 * @returns {SeatNews}
 */
export function newsOf(seat, copy, now) {
  const onPaper = (copy?.way ?? seat.way) === 'paper';
  const written = copy === undefined || now.sent === 0 ? 0 : Math.min(1, copy.written / now.sent);
  const [words, urgent] = wordsOf(seat, copy, onPaper, now);
  return { words, urgent, written, onPaper };
}

/**
 * @param {SeatOut} seat
 * @param {CopyProgress | undefined} copy
 * @param {boolean} onPaper
 * @param {Parameters<typeof newsOf>[2]} now
 * @returns {[string, boolean]}
 */
function wordsOf(seat, copy, onPaper, now) {
  if (!seat.inside) return ['waits at the door', true];
  if (seat.asks_help) return ['cannot hear', true];
  if (copy !== undefined && copy.own_count !== null) return [`${copy.own_count[0]} of ${copy.own_count[1]}, own count`, false];
  if (!seat.here) return ['away', false];
  if (needsSound(seat, now) && seat.sound === 'off') return ['sound not on', true];
  if (needsSound(seat, now) && seat.sound === 'lost') return ['sound lost', true];
  if (now.phase === '' || !now.counted || copy === undefined) return [readiness(seat, onPaper), false];
  if (copy.handed_in) return [`${copy.written} handed in`, false];
  if (onPaper) return [copy.written > 0 ? `${copy.written} keyed in` : 'on paper', false];
  const silentS = Math.floor((now.sinceStartMs - silentFromMs(copy, now.endMs)) / 1000);
  if (now.phase === 'sounding' && silentS >= SILENT_S && copy.written < now.begun) return [`silent ${silentS} s`, true];
  return [`${copy.written} written`, false];
}

/** Nobody is silent before there was something to write: a late joiner begins with the first sound heard.
 * @param {CopyProgress} copy @param {(index: number) => number} endMs */
function silentFromMs({ last_at_ms: lastAtMs, heard_from: from }, endMs) {
  return Math.max(lastAtMs ?? 0, from < 0 ? Infinity : endMs(from));
}

/**
 * After the sound: who still has a sheet to hand in, of those who are here.
 * @param {readonly SeatOut[]} seats
 * @param {readonly CopyProgress[]} copies  of the run
 */
export function sheetsWords(seats, copies) {
  const handedIn = new Map(copies.map((copy) => [copy.seat, copy.handed_in]));
  const asked = seats.filter((seat) => seat.inside && seat.here && handedIn.has(seat.seat));
  const missing = asked.filter((seat) => !handedIn.get(seat.seat));
  if (missing.length > 0) return `sheets still to come from ${names(missing, (seat) => seat.name, MISSING_COUNT)}`;
  return asked.length === 0 ? 'no sheets to come' : ALL_IN;
}

/**
 * Who types and is away, with writing that may not have come yet; "" for nobody.
 * @param {readonly SeatOut[]} seats
 * @param {readonly CopyProgress[]} copies  of the run
 */
export function awayWords(seats, copies) {
  const open = new Set(copies.filter((copy) => copy.way === 'typing' && !copy.handed_in).map((copy) => copy.seat));
  const away = seats.filter((seat) => seat.inside && seat.device && !seat.here && open.has(seat.seat));
  return away.length === 0 ? '' : `. Away, and may still bring what they wrote: ${names(away, (seat) => seat.name, MISSING_COUNT)}`;
}

/** With one loudspeaker the other browsers stay silent. @param {SeatOut} seat @param {{ hearing: string, source: number }} heard */
function needsSound(seat, { hearing, source }) {
  return seat.device && (hearing !== 'loudspeaker' || seat.seat === source);
}

/** @param {SeatOut} seat @param {boolean} onPaper */
function readiness(seat, onPaper) {
  if (!seat.device) return 'no device';
  return onPaper ? 'on paper' : 'ready';
}

/**
 * The header's sentence on the class and its sound.
 * @param {readonly SeatOut[]} seats
 * @param {{ hearing: string, source: number }} heard
 * @returns {{ here: number, words: string, good: boolean }}
 */
export function soundStatus(seats, heard) {
  const here = seats.filter((seat) => seat.here && seat.inside);
  const sounding = here.filter((seat) => needsSound(seat, heard));
  const notOn = sounding.filter((seat) => seat.sound === 'off' || seat.sound === 'lost').length;
  if (here.length === 0) return { here: 0, words: 'nobody here yet', good: false };
  if (notOn > 0) return { here: here.length, words: `sound not on for ${notOn}`, good: false };
  if (heard.hearing === 'loudspeaker') return { here: here.length, words: 'one loudspeaker', good: true };
  const on = sounding.filter((seat) => seat.sound === 'on');
  if (on.length === 0) return { here: here.length, words: 'no browser sounds', good: true };
  return { here: here.length, ...together(on) };
}

/**
 * How close together the browsers sound, each being as sure of its time as it says: two that are likely (95 %) off by a
 * and b are likely apart by no more than the root of a² + b², and no pair is worse than the two worst.
 * @param {readonly SeatOut[]} sounding  at least one
 */
function together(sounding) {
  const worst = [...sounding].sort((a, b) => b.uncertainty_ms - a.uncertainty_ms);
  const unknown = worst.filter((seat) => seat.uncertainty_ms >= UNKNOWN_MS);
  if (unknown.length > 0) return { words: `still comparing clocks with ${names(unknown, (seat) => seat.name)}`, good: false };
  const withinMs = Math.hypot(...worst.slice(0, 2).map((seat) => seat.uncertainty_ms));
  const unsure = worst.filter((seat) => seat.uncertainty_ms > FUSED_MS).slice(0, NAMED_COUNT);
  const leastSure = names(unsure, (seat) => `${seat.name} ${Math.ceil(seat.uncertainty_ms)} ms`);
  const words = `the room sounds within ${Math.max(1, Math.ceil(withinMs))} ms${leastSure && `; least sure: ${leastSure}`}`;
  return { words, good: withinMs <= SMEARED_MS };
}

/**
 * Who cannot hear, for the header; "" for nobody. It stays there whatever a browser reports of its sound.
 * @param {readonly SeatOut[]} seats
 */
export function callForHelp(seats) {
  const asking = seats.filter((seat) => seat.asks_help);
  return asking.length === 0 ? '' : `${names(asking, (seat) => seat.name)} cannot hear`;
}

/** The first few in words, and how many more. @param {readonly SeatOut[]} seats @param {(seat: SeatOut) => string} put
 * @param {number} [most] */
function names(seats, put, most = NAMED_COUNT) {
  const more = seats.length - most;
  return seats.slice(0, most).map(put).join(', ') + (more > 0 ? ` and ${more} more` : '');
}
