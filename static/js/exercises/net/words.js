/** What is said of a net in the same words on every page. Pure. */
import { readAnswer } from '../../core/procedure.js';

/** @import { NetExchange, NetFigures, NetHand, NetTurn } from '../../wire.js' */

/** @param {number} n @param {string} one @param {string} [many] */
export const counted = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

/** Who sends now and who is spoken to, as indices; -1: nobody. @param {NetTurn | null} turn @param {number} roomMs @param {NetHand | null} [hand] */
export function between(turn, roomMs, hand = null) {
  if (hand !== null) return { sends: hand.station, copies: hand.answers && turn !== null ? turn.asker : -1, sounds: true };
  if (turn === null) return { sends: -1, copies: -1, sounds: false };
  const sounds = roomMs < turn.sounded_room_ms;
  if (turn.stage === 'answered' || (turn.stage === 'asked' && !sounds)) return { sends: turn.to, copies: turn.asker, sounds };
  return { sends: turn.asker, copies: turn.to, sounds };
}

/** The turn in a sentence. @param {NetTurn | null} turn @param {readonly string[]} calls @param {number} roomMs @param {NetHand | null} [hand] */
export function turnInWords(turn, calls, roomMs, hand = null) {
  if (hand !== null) {
    const keyer = calls[hand.station];
    return hand.read ? `What ${keyer} keyed is read` : hand.answers ? `${keyer} keys its answer` : `${keyer} keys a question`;
  }
  if (turn === null) return 'The channel is free';
  const [asker, to] = [calls[turn.asker], turn.to < 0 ? '' : calls[turn.to]];
  const { sounds } = between(turn, roomMs);
  if (turn.stage === 'answered') return `${to} answers ${asker}`;
  if (to === '') return `${asker} asks, and nobody can tell whom`;
  return sounds || turn.stage === 'void' ? `${asker} asks ${to}` : `${to} is to answer ${asker}`;
}

/** How it ended. @param {NetFigures} figures */
export const endInWords = ({ complete_room_ms: complete }) => (complete > 0 ? 'The net is complete' : 'The net is over');

/** What an answer gives beside what was asked, before it is sent. @param {string} text
 * @param {Pick<NetTurn, 'form' | 'named' | 'groups'>} asked @param {readonly string[]} calls @param {readonly string[]} groups */
export function answerInWords(text, asked, calls, groups) {
  if (asked.groups.length === 0) return `The number of groups was asked for: GR ${groups.length}.`;
  const { begins, given, strange, extra, lacking } = readAnswer(text, asked, calls, groups);
  const said = `${counted(asked.groups.length, 'group')} asked, ${counted(given, 'group')} in your answer`;
  if (strange.length > 0) return `${said}. ${strange[0]} is not in your part.`;
  if (extra > 0) return `${said}: ${extra} that nobody asked for.`;
  if (lacking > 0) return `${said}.`;
  return begins ? said : `${said}. An answer begins with the same words as the question.`;
}

/** What a wrong form cost. @param {NetExchange} exchange */
export function costInWords({ fault, asked, had, extra }) {
  if (extra > 0) return `${fault} ${counted(extra, 'group')} repeated unneeded.`;
  if (had > 0 && !fault.startsWith('Asks')) return `${fault} ${had} of ${counted(asked, 'group')} asked were there.`;
  return fault;
}

/** @param {NetFigures} figures @returns {[string, string][]} */
export const figuresInWords = ({ in_place, of, fills, unneeded, wrong }) => [
  [`${in_place} of ${of}`, 'groups in place'], [String(fills), fills === 1 ? 'fill asked' : 'fills asked'],
  [String(unneeded), unneeded === 1 ? 'group repeated unneeded' : 'groups repeated unneeded'],
  [String(wrong), wrong === 1 ? 'wrong form' : 'wrong forms'],
];

export const CAUTION = 'Practice only: transmitting needs a licence.';
