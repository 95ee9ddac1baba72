/** What is said of a relay: the path of characters, never a person. All messages are invented. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { arrived, cellsOf, copiedWords, firstEvent, lengthOf, question, turnWords, waitingWords } from '../../static/js/exercises/relay_words.js';

const station = (number, signs = '', kinds = '', more = {}) => ({
  station: number, name: '', status: signs === '' ? 'waits' : 'passed', copied: number - 1, signs, kinds,
  in_place: [...kinds].filter((kind) => '=b'.includes(kind)).length, keyed_signs: '', keyed_kinds: '', keyed_in_place: 0, ...more,
});
const path = (columns, ...stations) => ({ chain: 1, over: false, keys: 0, held: false, words: [4], columns, stations });
const MILL = path('MILL7', station(1, 'MILL7', '====='), station(2, 'MILLB', '====c'), station(3, 'MIL B', '===lp'), station(4, 'MILLB', '===bp'));
const waiting = (more) => waitingWords({
  chain: 1, chains: 1, role: 'waits', station: 3, stations: 4, at: 1, at_name: '', copied: 0, held: false, turns: 2, about_s: 61,
  push: 0, closed: false, shown: false, came: '', passed: '', path: null, ...more,
});

test('what arrived is told with where it went first', () => {
  assert.equal(arrived(MILL), '4 of 5 characters arrived. The figure “7” went first: it came out as “B” at station 2.');
  assert.equal(arrived(path('KM', station(1, 'K ', '=l'))), '1 of 2 characters arrived. “M” went first: it was lost at station 1.');
  assert.equal(arrived(path('K M', station(1, 'KXM', '=a='))), 'All 2 characters arrived in the end. First a “X” was added, at station 1.');
  assert.equal(arrived(path('KM', station(1, 'KM', '=='))), 'All 2 characters arrived as they were sent.');
  assert.equal(arrived(path('KM', station(1))), 'Nothing has been passed on yet.');
});

test('of two things at the same station the earlier character went first', () => {
  assert.deepEqual(firstEvent(path('KMR', station(1, 'KT ', '=cl'))), { station: 1, keyed: false, kind: 'c', sent: 'M', written: 'T' });
});

test('what a hand changed is told apart from what an ear did', () => {
  const keyed = { keyed_signs: 'KT', keyed_kinds: '=c', keyed_in_place: 1 };
  const byHand = path('KM', station(1, 'KM', '==', keyed), station(2, 'KT', '=p'));
  assert.equal(arrived(byHand), '1 of 2 characters arrived. “M” went first: it came out as “T” in the keying of station 1.');
});

test('who keys and who copies is said in one sentence', () => {
  const stations = [station(1, 'KM', '=='), station(2, '', '', { status: 'copies' })];
  assert.equal(turnWords({ ...path('KM', ...stations), keys: 1 }), 'Station 1 keys, station 2 copies.');
  assert.equal(turnWords({ ...path('KM', ...stations), keys: 1, held: true }), 'Station 1 is away from the key; the chain waits.');
});

test('the class is asked about what happened', () => {
  assert.match(question(MILL), /^“L” went astray and was put back\. Was it heard again, or guessed\?/);
  assert.match(question(path('KM', station(1, 'K ', '=l'))), /stayed lost/);
  assert.match(question(path('KM', station(1, 'KT', '=c'))), /passed on what it got/);
  assert.match(question(path('KM', station(1, 'KM', '=='))), /What helped/);
});

test('an added character is no character of the message', () => {
  assert.equal(lengthOf(path('K MR')), 3);
});

test('each cell says in words what it is, and where a word begins', () => {
  const cells = cellsOf(MILL, MILL.stations[2]);
  assert.deepEqual(cells.map(({ sign }) => sign), ['M', 'I', 'L', '', 'B']);
  assert.deepEqual(cells.slice(3), [
    { sign: '', kind: 'l', word: false, said: 'lost here' }, { sign: 'B', kind: 'p', word: true, said: 'passed on as received' },
  ]);
});

test('a row says whose version it was', () => {
  assert.equal(copiedWords(station(1, 'K', '=')), 'copied the machine');
  assert.equal(copiedWords(station(3, '', '', { status: 'copies', copied: 1 })), 'copies station 1');
  assert.equal(copiedWords(station(3, '', '', { status: 'skipped' })), 'passed over');
});

test('the turn is told, and a station that is away', () => {
  assert.equal(turnWords(path('KM', station(1, '', '', { status: 'copies' }))), 'Station 1 copies the machine.');
  assert.equal(turnWords(path('KM', station(2, '', '', { status: 'held' }))), 'Station 2 is away; the chain waits.');
  assert.equal(turnWords({ ...MILL, over: true }), 'It has gone all the way.');
});

test('who waits is told when, and why the page is silent', () => {
  assert.equal(waiting({}).title, '2 stations before you');
  assert.match(waiting({}).line, /in about 60 seconds\. Until then your page stays silent/);
  assert.equal(waiting({ turns: 1, about_s: 240 }).title, 'You are next');
  assert.match(waiting({ about_s: 240 }).line, /about 4 minutes/);
  assert.match(waiting({ held: true }).line, /Station 1 is away; it is waited for\.$/);
  assert.equal(waiting({ role: 'passed' }).title, 'Your part is done');
  assert.match(waiting({ role: 'none' }).line, /no part in it/);
  assert.equal(waiting({ closed: true }).title, 'The relay is over');
});
