/**
 * Plays pushes on a voice: hands each symbol over shortly before it is due, takes it back on a halt, and says which
 * symbols sounded whole and in their place. Time comes from `now()`, so it also runs on an OfflineAudioContext.
 */
import { startRoomMs } from '../core/moment.js';
import { due } from '../core/schedule.js';

/** @import { Milliseconds, Seconds } from '../core/units.js' */
/** @import { Push } from '../core/schedule.js' */
/** @import { Sound } from './voice.js' */

/**
 * @typedef {object} Playing
 * @property {Push} push
 * @property {number} next  symbols before it need no more looking at
 * @property {Map<number, Sound>} handed  sounds by index, until ended
 * @property {Set<number>} sounded
 * @property {number[]} unreported
 * @property {Milliseconds} haltRoomMs
 */

/** @typedef {{ currentS: Seconds, lookAheadS: Seconds, roomToAudio: (roomMs: Milliseconds) => Seconds }} Now */

/** Makes a symbol sound; null: this page stays silent. @typedef {(push: Push, index: number, startS: Seconds) => Sound | null} Sounding */

/** A symbol found this far from its place when it has ended was not heard in step. */
const OUT_OF_STEP_S = 0.03;

/**
 * @param {object} wiring
 * @param {() => Now} wiring.now
 * @param {Sounding} wiring.sound
 * @param {(push: number, from: number, to: number) => void} wiring.onSounded  symbols from <= index < to
 */
export function createPlayer({ now, sound, onSounded }) {
  /** Each part of a run by itself. @type {Map<string, Playing>} */
  const playing = new Map();

  /** @param {Push} push  a new one, or a known one again: a halt ends, new shifts hold */
  function play(push) {
    const place = `${push.push}.${push.part ?? 0}`;
    const known = playing.get(place);
    playing.set(place, {
      handed: new Map(), sounded: new Set(), unreported: [], ...known, push, next: 0, haltRoomMs: Infinity,
    });
    tick();
  }

  /** @param {{ push: number, at_room_ms: Milliseconds }} halt  nothing of the push sounds after that time */
  function halt({ push, at_room_ms: atRoomMs }) {
    for (const one of playing.values()) {
      if (one.push.push !== push) continue;
      one.haltRoomMs = Math.min(one.haltRoomMs, atRoomMs);
      takeBack(one, now().roomToAudio(atRoomMs) || 0);
    }
  }

  /** Silence at once. What was handed over comes again only if its time is still ahead. */
  function silence() {
    for (const one of playing.values()) takeBack(one, 0);
  }

  function forget() {
    silence();
    report();
    playing.clear();
  }

  function tick() {
    const at = now();
    for (const one of playing.values()) {
      settle(one, at);
      handOver(one, at, sound);
    }
    // The last symbol is told at once: a quick instructor closes the run as soon as it has sounded.
    if ([...playing.values()].some((one) => isOver(one) && one.unreported.length > 0)) report();
  }

  /** Tell what sounded since the last report, and drop the pushes that are over. */
  function report() {
    for (const [place, one] of playing) {
      const { push, first = 0 } = one.push;
      for (const [from, to] of first < 0 ? [] : rangesOf(one.unreported)) onSounded(push, first + from, first + to);
      one.unreported = [];
      if (isOver(one) && one.haltRoomMs === Infinity) playing.delete(place);
    }
  }

  const isSounding = () => [...playing.values()].some((one) => one.handed.size > 0);

  return Object.freeze({ play, halt, silence, forget, tick, report, isSounding });
}

/** @param {Playing} one */
const isOver = (one) => one.next >= Math.max(one.push.sounds ?? 0, one.push.edges.length) && one.handed.size === 0;

/** @param {Playing} one @param {Now} at @param {Sounding} sound */
function handOver(one, at, sound) {
  const { next, sound: ready } = due(one.push, one.next, { ...at, haltRoomMs: one.haltRoomMs });
  one.next = next;
  for (const { index, startS } of ready) {
    if (one.handed.has(index) || one.sounded.has(index)) continue;
    const made = sound(one.push, index, startS);
    if (made !== null) one.handed.set(index, made);
  }
}

/** Note what has ended, if it ended in its place. @param {Playing} one @param {Now} at */
function settle(one, at) {
  for (const [index, made] of one.handed) {
    if (made.endS > at.currentS) continue;
    one.handed.delete(index);
    const placeS = at.roomToAudio(startRoomMs(one.push, index));
    if (!(Math.abs(placeS - made.startS) < OUT_OF_STEP_S)) continue;
    one.sounded.add(index);
    one.unreported.push(index);
  }
}

/** @param {Playing} one @param {Seconds} atS  what would sound after it is stopped there */
function takeBack(one, atS) {
  for (const [index, made] of one.handed) {
    if (made.endS <= atS) continue;
    made.stop(atS);
    one.handed.delete(index);
    one.next = Math.min(one.next, index);
  }
}

/** Half-open ranges of indices. @param {readonly number[]} indices @returns {[number, number][]} */
function rangesOf(indices) {
  /** @type {[number, number][]} */
  const ranges = [];
  for (const index of [...indices].sort((a, b) => a - b)) {
    const last = ranges[ranges.length - 1];
    if (last !== undefined && last[1] === index) last[1] = index + 1;
    else ranges.push([index, index + 1]);
  }
  return ranges;
}
