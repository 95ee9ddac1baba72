/** What the wall says and when, and two sentences on the class's table. Pure. */
import { EXTRA } from './matrix.js';
import { phaseFrom } from './moment.js';

/** @import { WallOut } from '../wire.js' */
/** @import { Table } from './matrix.js' */

/** @param {WallOut} wall @param {number} roomMs  NaN while the clock is not usable */
export const wallPhase = (wall, roomMs) => phaseFrom({
  told: /** @type {import('./moment.js').Phase} */ (wall.phase),
  startRoomMs: wall.start_room_ms,
  endRoomMs: wall.end_room_ms,
  tidyEndRoomMs: wall.counted ? wall.end_tidy_room_ms : wall.end_room_ms,
}, roomMs);

/**
 * The sign that sounds, or sounded last, when names are shown. None in a pause.
 * @param {WallOut} wall
 * @param {number} roomMs
 * @returns {string} "" where there is nothing to show
 */
export function signNow(wall, roomMs) {
  if (wall.phase === 'paused') return ''; // the room's time goes on, the sound does not
  const atMs = roomMs - wall.start_room_ms;
  const begun = wall.start_ms.filter((startMs) => startMs <= atMs).length;
  return [...wall.shown][Math.max(0, begun - 1)] ?? '';
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
