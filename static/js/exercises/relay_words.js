/** What is said of a relay: where the message is, what arrived, and what to ask the class. Stations, never persons. Pure. */

/** @import { RelayForLearner, RelayPath, RelayStation } from '../wire.js' */

/** What a kind of cell says beside its sign. @type {Readonly<Record<string, string>>} */
export const KINDS = Object.freeze({
  '=': 'as sent', c: 'changed here', l: 'lost here', a: 'added here', p: 'passed on as received', b: 'put back here', ' ': '',
});

/** What a chain's row says of its station while it has nothing to show. @type {Readonly<Record<string, string>>} */
const STANDS = Object.freeze({
  waits: 'waits', copies: 'copies now', held: 'is away, waited for', passed: 'has passed it on', nothing: 'nothing arrived',
  skipped: 'passed over', cut: 'not to its end',
});

/** @param {Pick<RelayStation, 'status'>} station */
export const standsWords = ({ status }) => STANDS[status] ?? '';

/** Whose version it was. @param {number} station  0: the message itself */
export const fromWords = (station) => (station === 0 ? 'the machine' : `station ${station}`);

/** @param {RelayStation} station */
export const copiedWords = ({ copied, status }) =>
  (status === 'skipped' || status === 'waits' ? standsWords({ status }) : `${status === 'passed' ? 'copied' : 'copies'} ${fromWords(copied)}`);

/**
 * One cell a column of a station's row. `said`: what it is, for whoever cannot see it.
 * @param {RelayPath} path
 * @param {RelayStation} station
 */
export const cellsOf = ({ words }, { signs, kinds }) => [...signs].map((sign, column) => {
  const kind = [...kinds][column] ?? ' ';
  return { sign: sign === ' ' ? '' : sign, kind, word: words.includes(column), said: KINDS[kind] ?? '' };
});

/** @typedef {Pick<RelayStation, 'station' | 'signs' | 'kinds' | 'in_place'> & { keyed: boolean }} Version */

/** What there was of the message, in order: what each station copied, and what it keyed of that. @param {RelayPath} path @returns {Version[]} */
export const versionsOf = ({ stations }) => stations.flatMap(({ station, signs, kinds, in_place, keyed_signs, keyed_kinds, keyed_in_place }) => [
  { station, signs, kinds, in_place, keyed: false }, { station, signs: keyed_signs, kinds: keyed_kinds, in_place: keyed_in_place, keyed: true },
]).filter(({ signs }) => signs !== '');

/** How many characters the message has. @param {RelayPath} path */
export const lengthOf = ({ columns }) => [...columns].filter((sign) => sign !== ' ').length;

/** The first thing that happened to the message. @param {RelayPath} path */
export function firstEvent(path) {
  for (const { station, signs, kinds, keyed } of versionsOf(path)) {
    const column = [...kinds].findIndex((kind) => 'cla'.includes(kind) && kind !== ' ');
    if (column >= 0) {
      return { station, keyed, kind: [...kinds][column] ?? '', sent: [...path.columns][column] ?? '', written: [...signs][column] ?? '' };
    }
  }
  return null;
}

const FIGURE = /^\d$/;

/** @param {NonNullable<ReturnType<typeof firstEvent>>} event */
function eventWords({ station, keyed, kind, sent, written }) {
  const at = keyed ? `in the keying of station ${station}` : `at station ${station}`;
  if (kind === 'a') return `First a “${written}” was added, ${at}.`;
  const what = FIGURE.test(sent) ? `The figure “${sent}” went first` : `“${sent}” went first`;
  return kind === 'l' ? `${what}: it was lost ${at}.` : `${what}: it came out as “${written}” ${at}.`;
}

/** What arrived, and where it went first. @param {RelayPath} path */
export function arrived(path) {
  const last = versionsOf(path).at(-1);
  const of = lengthOf(path);
  if (last === undefined) return 'Nothing has been passed on yet.';
  const first = firstEvent(path);
  if (first === null) return `All ${of} characters arrived as they were sent.`;
  const count = last.in_place === of ? `All ${of} characters arrived in the end.` : `${last.in_place} of ${of} characters arrived.`;
  return `${count} ${eventWords(first)}`;
}

/** What the class may talk about: of the path, never of a person. @param {RelayPath} path */
export function question(path) {
  const rows = versionsOf(path);
  const signs = [...path.columns];
  /** The first column of which this is so. @param {(kind: string, column: number) => boolean} is */
  const find = (is) => rows.flatMap(({ kinds }) => [...kinds].map((kind, column) => ({ kind, column }))).find(({ kind, column }) => is(kind, column));
  const back = find((kind, column) => kind === 'b' && signs[column] !== ' ');
  if (back !== undefined) {
    return `“${signs[back.column]}” went astray and was put back. Was it heard again, or guessed? What should a station ask before passing on?`;
  }
  if (find((kind) => kind === 'l') !== undefined) {
    return 'What was lost once stayed lost. How could a station have noticed that something was missing, and what would it ask for?';
  }
  if (find((kind) => kind === 'c' || kind === 'a') !== undefined) {
    return 'Every later station passed on what it got. What in the message could have told them, and whom would they ask?';
  }
  return 'Nothing went astray on the way. What helped to copy it so well?';
}

/** Where a chain stands, in a sentence. @param {RelayPath} path @param {(station: RelayStation) => string} [named] */
export function turnWords({ stations, over, keys, held }, named = ({ station }) => `Station ${station}`) {
  if (over) return 'It has gone all the way.';
  const at = stations.find(({ status }) => status === 'copies' || status === 'held');
  if (at === undefined) return 'The next station is about to be sent to.';
  if (at.status === 'held') return `${named(at)} is away; the chain waits.`;
  if (keys > 0) return held ? `Station ${keys} is away from the key; the chain waits.` : `Station ${keys} keys, ${named(at).replace('Station', 'station')} copies.`;
  return `${named(at)} copies ${fromWords(at.copied)}.`;
}

/** How long until somebody's turn. @param {number} seconds */
const aboutWords = (seconds) => (seconds < 90 ? `about ${Math.max(10, Math.round(seconds / 10) * 10)} seconds` : `about ${Math.round(seconds / 60)} minutes`);

/**
 * The heading of a learner's page and the line under it, while they do not copy.
 * @param {RelayForLearner} shown
 * @returns {{ title: string, line: string }}
 */
export function waitingWords({ role, turns, about_s, at, held, closed }) {
  if (closed) return { title: 'The relay is over', line: 'Your instructor will show the way that the message went.' };
  const away = held ? ` Station ${at} is away; it is waited for.` : '';
  if (role === 'waits') {
    const title = turns === 0 ? 'It is your turn' : turns === 1 ? 'You are next' : `${turns} stations before you`;
    const line = turns === 0 ? 'Your sounds come in a moment.'
      : `Your turn comes in ${aboutWords(about_s)}. Until then your page stays silent: what sounds now is not yet your version.`;
    return { title, line: line + away };
  }
  if (at === 0) return { title: 'It has gone all the way', line: 'The way that it went is shown when the other chains are done, too.' };
  if (role === 'passed') return { title: 'Your part is done', line: `The message is on its way, at station ${at}. Your page stays silent.${away}` };
  return { title: 'A message is on its way', line: `You have no part in it; your instructor may still hand you one. It is at station ${at}.${away}` };
}
