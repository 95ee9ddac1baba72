/** What the wall says and when, and two sentences on the class's table. Pure. */
import { EXTRA } from './matrix.js';
import { phaseFrom, startRoomMs } from './moment.js';

/** @import { RunShape, WallOut } from '../wire.js' */
/** @import { Phase } from './moment.js' */
/** @import { Table } from './matrix.js' */

/** A run as the wall knows it: its times, and no edges before its names may be seen.
 * @typedef {RunShape & Required<Pick<RunShape, 'begins_room_ms' | 'ends_room_ms' | 'tidy_ends_room_ms'>>} OnWall */

/** @param {WallOut} wall @returns {OnWall | null} */
export const runOnWall = (wall) => /** @type {OnWall | null} */ (wall.run);

/** @param {OnWall | null} run @param {number} roomMs  NaN while the clock is not usable @returns {Phase} */
export function wallPhase(run, roomMs) {
  if (run === null) return '';
  return phaseFrom({
    told: /** @type {Phase} */ (run.phase), startRoomMs: run.begins_room_ms, endRoomMs: run.ends_room_ms,
    tidyEndRoomMs: run.counted ? run.tidy_ends_room_ms : run.ends_room_ms,
  }, roomMs);
}

/**
 * The sign that sounds, or sounded last, when names are shown. None in a pause.
 * @param {OnWall | null} run
 * @param {number} roomMs
 * @returns {string} "" where there is nothing to show
 */
export function signNow(run, roomMs) {
  if (run === null || run.phase === 'paused') return ''; // the room's time goes on, the sound does not
  const { start_room_ms, edges = [], shifts = [] } = run;
  const sounds = { start_room_ms, edges, shifts };
  const begun = edges.filter((_, index) => startRoomMs(sounds, index) <= roomMs).length;
  return [...run.shown][Math.max(0, begun - 1)] ?? '';
}

/** The share from which the advice takes new sounds. */
const WELL_HEARD = 0.85;
const FEWEST_SENDINGS = 5;

/**
 * What the class may be told: the signs that most have, and the pair that is mixed up more than chance explains, if any.
 * @param {Table} table
 * @param {WallOut['pairs']} pairs
 * @returns {{ have: string[], alike: [string, string] | null }}
 */
export function classNews({ rows }, pairs) {
  const sent = rows.filter((row) => row.sent !== EXTRA && row.of >= FEWEST_SENDINGS);
  const have = sent.filter((row) => row.right / row.of >= WELL_HEARD).map((row) => row.sent);
  return { have, alike: pairs.length > 0 ? [pairs[0].sent, pairs[0].written] : null };
}

/** "A, D and N" @param {readonly string[]} words */
export function listed(words) {
  return words.length < 2 ? (words[0] ?? '') : `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}
