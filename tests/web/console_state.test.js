import assert from 'node:assert/strict';
import { test } from 'node:test';
import { EMPTY, composed, isComplete, reduce } from '../../static/js/core/console_state.js';
import { localDay } from '../../static/js/core/days.js';
import { evidenceFor, pairFigures, recallOf } from '../../static/js/core/findings.js';
import { begunAt, lastEndRoomMs, phaseAt, tidyEndRoomMs } from '../../static/js/core/moment.js';
import { awayWords, callForHelp, newsOf, sheetsWords, soundStatus } from '../../static/js/core/seat_news.js';
import { actionsIn } from '../../static/js/core/run_orders.js';
import { emptyWords } from '../../static/js/core/tables.js';
import { signNow, wallPhase } from '../../static/js/core/wall_words.js';

const after = (...events) => events.reduce(reduce, EMPTY);
const told = (name, payload) => ({ type: 'told', name, payload });
const drafted = (change) => ({ type: 'drafted', change });

/** Invented: three sounds of 100 ms, one a second, starting at room time 10 000. */
const RUN = {
  push: 1, phase: 'counting in', start_room_ms: 10_000, edges: [[0, 100], [1000, 1100], [2000, 2100]], shifts: [],
  sent: 3, tidy_ms: 5000, halted_room_ms: null, counted: true,
};
const SEAT = {
  seat: 1, name: 'Ana', way: 'typing', device: true, inside: true, here: true, sound: 'on', uncertainty_ms: 1.4,
  visible: true, asks_help: false,
};
const COPY = { seat: 1, way: 'typing', written: 2, last_at_ms: 1500, heard: 3, heard_from: 0, handed_in: false, own_count: null };
const NOW = { hearing: 'every', source: 0, phase: 'sounding', begun: 3, sent: 3, sinceStartMs: 2000, counted: true, endMs: (index) => RUN.edges[index][1] };

test('each part that the server tells is kept as it came', () => {
  const room = { code: 'X', symbols: 'AB', runs: [] };
  assert.equal(after(told('room', room)).room, room);
  assert.deepEqual(after(told('seats', { seats: [SEAT] })).seats, [SEAT]);
  assert.equal(after(told('unknown', {})), EMPTY);
});

test('a cancelled run goes back to the draft it came from, a planned one to its plan', () => {
  const steps = [{ step: 1, push: 2 }];
  const sent = after(told('run', { run: { ...RUN, push: 1 } }), told('run', { run: { ...RUN, push: 2 } }));
  const back = told('run', { run: { ...RUN, push: 1 } });
  assert.equal(reduce(sent, back).composing, true);
  assert.equal(reduce(reduce(sent, told('plan', { steps })), back).composing, false);
});

test('each deed on a run keeps its place through all phases', () => {
  const places = ['counting in', 'sounding', 'paused', 'stopped', 'tidying', 'waiting', 'closed', 'revealed'].flatMap((phase) =>
    [true, false].map((counted) => actionsIn(/** @type {any} */ (phase), counted, false).map(({ slot }) => slot).join(' ')));
  assert.deepEqual([...new Set(places)], ['pause stop repeat next reveal close']);
  const inPlace = (/** @type {any} */ phase) => actionsIn(phase, true, false).filter(({ isAway }) => !isAway).map(({ does }) => does);
  assert.deepEqual(inPlace('sounding'), ['pause', 'stop']);
  assert.deepEqual(inPlace('paused'), ['go_on', 'stop']);
  assert.deepEqual(inPlace('stopped'), ['go_on', 'repeat', 'reveal', 'close']);
  assert.deepEqual(inPlace('tidying'), ['repeat', 'reveal', 'close']);
  assert.deepEqual(inPlace('closed'), ['repeat', 'next', 'reveal']);
});

test('a new run takes the composer’s place, news of the same run does not', () => {
  const composing = { type: 'composing', on: true };
  assert.equal(after(told('run', { run: RUN }), composing).composing, true);
  assert.equal(after(told('run', { run: RUN }), composing, told('run', { run: { ...RUN, phase: 'closed' } })).composing, true);
  assert.equal(after(told('run', { run: RUN }), composing, told('run', { run: { ...RUN, push: 2 } })).composing, false);
});

const refused = (sentence, about) => told('refused', { sentence, about });

test('a refusal stays with what caused it: the draft’s in the composer, any other as a notice', () => {
  const sentences = ({ objection, notices }) => [objection, ...notices.map(({ sentence }) => sentence)];
  const asked = after({ type: 'asked' }, refused('No such word.', 'compose'));
  assert.deepEqual([...sentences(asked), asked.asked], ['No such word.', 0]);
  assert.deepEqual(sentences(after({ type: 'sending' }, refused('A run is sounding.', 'send_text'))), ['A run is sounding.']);
  // While the composer waits for its text, something else may be refused.
  assert.deepEqual(sentences(after({ type: 'asked' }, refused('No run is open.', 'close'))), ['', 'No run is open.']);
  assert.deepEqual(sentences(after(refused('A run is sounding.', 'send_text'))), ['', 'A run is sounding.'], 'the sound check');
  assert.deepEqual(sentences(after(refused('The disk is full.'))), ['', 'The disk is full.']);
});

test('an objection stands until the draft is answered anew or has another purpose', () => {
  const objected = [{ type: 'asked' }, refused('No.', 'compose')];
  assert.equal(after(...objected, drafted({ text: 'AB' }), { type: 'asked' }).objection, 'No.');
  assert.equal(after(...objected, drafted({ purpose: 'mix' })).objection, '');
});

test('a draft that was sent gives another text the next time, one that was refused the same', () => {
  const { seed } = EMPTY.draft;
  assert.equal(after({ type: 'sending' }, told('run', { run: RUN })).draft.seed, seed + 1);
  assert.equal(after({ type: 'sending' }, refused('A run is sounding.', 'send_text'), told('run', { run: RUN })).draft.seed, seed);
});

test('what was asked before the connection broke is not waited for', () => {
  const state = after({ type: 'asked' }, { type: 'connection', connection: 'lost' });
  assert.equal(state.asked, 0);
});

test('a proposal clears the objection before it', () => {
  const state = after({ type: 'asked' }, refused('No.', 'compose'), { type: 'asked' }, told('proposal', { text: 'AB' }));
  assert.deepEqual([state.objection, state.proposal.text, state.asked], ['', 'AB', 0]);
});

test('the same notice stands once, and can be dismissed', () => {
  const twice = after({ type: 'noticed', sentence: 'Lost.' }, { type: 'noticed', sentence: 'Lost.' });
  assert.equal(twice.notices.length, 1);
  assert.equal(reduce(twice, { type: 'dismissed', id: twice.notices[0].id }).notices.length, 0);
});

test('mixing starts from the known sounds, and is counted', () => {
  const { draft } = after(told('room', { symbols: 'ADN' }), drafted({ purpose: 'mix' }));
  assert.deepEqual([draft.symbols, draft.counted], ['ADN', true]);
});

test('a purpose for one sound keeps the last one chosen, and is not counted', () => {
  const { draft } = after(drafted({ purpose: 'mix', symbols: 'ADN' }), drafted({ purpose: 'one' }));
  assert.deepEqual([draft.symbols, draft.counted], ['N', false]);
});

test('only an own text is sent as text', () => {
  const { draft } = after(drafted({ purpose: 'own', text: 'CQ' }));
  assert.equal(composed(draft).text, 'CQ');
  assert.equal(composed(after(drafted({ purpose: 'own', text: 'CQ' }), drafted({ purpose: 'mix' })).draft).text, '');
});

for (const [purpose, symbols, text, complete] of [
  ['listen', '', '', true], ['one', '', '', false], ['meet', 'V', '', true], ['apart', 'V', '', false],
  ['apart', 'V4', '', true], ['mix', '', '', false], ['own', '', ' ', false], ['own', '', 'CQ', true],
]) {
  test(`a draft to ${purpose} with "${symbols}" and "${text}" is ${complete ? '' : 'not '}complete`, () => {
    assert.equal(isComplete({ ...EMPTY.draft, purpose, symbols, text }), complete);
  });
}

for (const [roomMs, phase] of [
  [9_999, 'counting in'], [10_000, 'sounding'], [12_099, 'sounding'], [12_100, 'tidying'], [17_099, 'tidying'], [17_100, 'waiting'],
]) {
  test(`at room time ${roomMs} the run is ${phase}`, () => assert.equal(phaseAt(RUN, roomMs), phase));
}

test('a halted run is paused until it is stopped for good', () => {
  const halted = { ...RUN, halted_room_ms: 11_500 };
  assert.equal(phaseAt({ ...halted, phase: 'paused' }, 11_600), 'paused');
  assert.equal(phaseAt({ ...halted, phase: 'tidying', sent: 2 }, 11_600), 'tidying');
});

test('a closed run stays closed whatever the clock says, and an unsure clock leaves the told phase', () => {
  assert.equal(phaseAt({ ...RUN, phase: 'closed' }, 10_500), 'closed');
  assert.equal(phaseAt({ ...RUN, phase: 'sounding' }, NaN), 'sounding');
  assert.equal(phaseAt(null, 0), '');
});

test('what is not counted has no tidy-up time', () => {
  assert.equal(phaseAt({ ...RUN, counted: false }, 12_200), 'waiting');
});

test('a stopped run ends with its last whole sound, and its tidy-up time begins with the stop', () => {
  const stopped = { ...RUN, phase: 'tidying', halted_room_ms: 11_500, sent: 2 };
  assert.deepEqual([lastEndRoomMs(stopped), tidyEndRoomMs(stopped)], [11_100, 16_500]);
});

for (const [roomMs, begun] of [[9_000, 0], [10_000, 1], [10_999, 1], [11_000, 2], [99_000, 3]]) {
  test(`at room time ${roomMs} ${begun} sounds have begun`, () => assert.equal(begunAt(RUN, roomMs), begun));
}

test('a pause holds the count of sounds begun', () => {
  assert.equal(begunAt({ ...RUN, halted_room_ms: 11_500, phase: 'paused' }, 99_000), 2);
});

test('who still has a sheet to hand in is named, until all that are here have handed in', () => {
  const seats = ['Ana', 'Ben', 'Cem', 'Door', 'Away'].map((name, i) => ({ ...SEAT, seat: i + 1, name, inside: name !== 'Door', here: name !== 'Away' }));
  const copies = seats.map(({ seat }) => ({ ...COPY, seat, handed_in: seat === 2 }));
  assert.equal(sheetsWords(seats, copies), 'sheets still to come from Ana, Cem');
  assert.equal(sheetsWords(seats, copies.map((copy) => ({ ...copy, handed_in: copy.seat < 4 }))), 'all sheets are in');
  assert.equal(awayWords(seats, copies), '. Away, and may still bring what they wrote: Away');
  assert.equal(awayWords(seats, copies.map((copy) => ({ ...copy, way: 'paper' }))), '');
  assert.equal(sheetsWords(seats, []), 'no sheets to come', 'nobody was there for the run');
  const many = Array.from({ length: 9 }, (_, i) => ({ ...SEAT, seat: i + 1, name: `N${i + 1}` }));
  const none = many.map(({ seat }) => ({ ...COPY, seat }));
  assert.equal(sheetsWords(many, none), 'sheets still to come from N1, N2, N3, N4 and 5 more');
});

for (const [what, seat, copy, now, words, urgent] of [
  ['who is not let in yet', { inside: false }, {}, {}, 'waits at the door', true],
  ['who asks for help', { asks_help: true }, {}, {}, 'cannot hear', true],
  ['who is away', { here: false }, {}, {}, 'away', false],
  ['whose sound is off', { sound: 'off' }, {}, {}, 'sound not on', true],
  ['whose sound is off beside a loudspeaker', { sound: 'off' }, {}, { hearing: 'loudspeaker' }, '2 written', false],
  ['who is the loudspeaker without sound', { sound: 'off' }, {}, { hearing: 'loudspeaker', source: 1 }, 'sound not on', true],
  ['whose sound was lost', { sound: 'lost' }, {}, {}, 'sound lost', true],
  ['who writes', {}, {}, {}, '2 written', false],
  ['who fell silent', {}, {}, { sinceStartMs: 14_000 }, 'silent 12 s', true],
  ['who wrote nothing from the start on', {}, { written: 0, last_at_ms: null }, { sinceStartMs: 14_000 }, 'silent 13 s', true],
  ['who came late and has heard nothing yet', {}, { written: 0, last_at_ms: null, heard_from: -1 }, { sinceStartMs: 43_000 }, '0 written', false],
  ['who came late and heard the last sound just now', {}, { written: 0, last_at_ms: null, heard_from: 2 }, { sinceStartMs: 12_000 }, '0 written', false],
  ['who came late and writes nothing', {}, { written: 0, last_at_ms: null, heard_from: 2 }, { sinceStartMs: 13_000 }, 'silent 10 s', true],
  ['who is silent after the sound', {}, {}, { sinceStartMs: 14_000, phase: 'tidying' }, '2 written', false],
  ['who is silent with all written', {}, { written: 3 }, { sinceStartMs: 14_000 }, '3 written', false],
  ['who is on paper', { way: 'paper' }, { way: 'paper', written: 0 }, { sinceStartMs: 14_000 }, 'on paper', false],
  ['who handed in', {}, { handed_in: true }, {}, '2 handed in', false],
  ['who handed in the count of a sheet on paper', {}, { way: 'paper', written: 0, own_count: [31, 40] }, {}, '31 of 40, own count', false],
  ['who has no device', { device: false, sound: 'off' }, { way: 'paper', written: 0 }, { phase: '' }, 'no device', false],
]) {
  test(`the room says "${words}" of somebody ${what}`, () => {
    const news = newsOf({ ...SEAT, ...seat }, { ...COPY, ...copy }, { ...NOW, ...now });
    assert.deepEqual([news.words, news.urgent], [words, urgent]);
  });
}

test('the room sounds within what its two least sure clocks make together, and they are named when it matters', () => {
  const sure = (/** @type {number[]} */ ...ms) => ms.map((uncertainty_ms, i) => ({ ...SEAT, seat: i + 1, name: `Seat ${i + 1}`, uncertainty_ms }));
  const words = (/** @type {any} */ seats) => soundStatus(seats, { hearing: 'every', source: 0 }).words;
  assert.equal(words(sure(2.2)), 'the room sounds within 3 ms');
  assert.equal(words(sure(3, 1, 4)), 'the room sounds within 5 ms');
  assert.equal(words(sure(2, 12, 1, 5)), 'the room sounds within 13 ms; least sure: Seat 2 12 ms');
  assert.equal(words(sure(9, 12, 40)), 'the room sounds within 42 ms; least sure: Seat 3 40 ms, Seat 2 12 ms');
  assert.deepEqual([sure(2, 3), sure(2, 40)].map((seats) => soundStatus(seats, { hearing: 'every', source: 0 }).good), [true, false]);
});

test('a browser that has not compared its clock yet is named instead of its largest number', () => {
  const seats = [2, 60000, 60000, 60000].map((uncertainty_ms, i) => ({ ...SEAT, seat: i + 1, name: `Seat ${i + 1}`, uncertainty_ms }));
  const words = (/** @type {number} */ count) => soundStatus(seats.slice(0, count), { hearing: 'every', source: 0 }).words;
  assert.equal(words(2), 'still comparing clocks with Seat 2');
  assert.equal(words(4), 'still comparing clocks with Seat 2, Seat 3 and 1 more');
});

test('who cannot hear is named in the header', () => {
  const seats = ['Amber', 'Birch', 'Cedar'].map((name, i) => ({ ...SEAT, seat: i + 1, name, asks_help: i > 0 }));
  assert.equal(callForHelp(seats.slice(0, 1)), '');
  assert.equal(callForHelp(seats), 'Birch, Cedar cannot hear');
});

test('one browser without sound is said first', () => {
  const seats = [SEAT, { ...SEAT, seat: 2, sound: 'off' }];
  assert.deepEqual(soundStatus(seats, { hearing: 'every', source: 0 }), { here: 2, words: 'sound not on for 1', good: false });
  assert.equal(soundStatus(seats, { hearing: 'loudspeaker', source: 0 }).good, true);
  assert.equal(soundStatus(seats, { hearing: 'loudspeaker', source: 2 }).good, false);
});

test('evidence is shown only beside the table that it was made of', () => {
  const findings = { push: 3, run: { recall: [] }, evening: {}, course: {} };
  assert.equal(evidenceFor(findings, { push: 3, final: true }, 'run'), findings.run);
  assert.equal(evidenceFor(findings, { push: 3, final: false }, 'run'), null);
  assert.equal(evidenceFor(findings, { push: 4, final: true }, 'run'), null);
});

test('recall is read by sign, and a pair says its numbers', () => {
  const known = recallOf({ recall: [['V', 28, 42, 0.51, 0.79, true]] });
  assert.deepEqual(known.get('V'), { right: 28, sendings: 42, low: 0.51, high: 0.79, enough: true });
  assert.equal(pairFigures({ n: 9, sendings: 42, learners: 6 }), '9 of 42, six learners');
  assert.equal(pairFigures({ n: 9, sendings: 40, learners: 6, back: 2, back_sendings: 38 }),
    '9 of 40, six learners; the other way round 2 of 38');
  assert.equal(pairFigures({ n: 2, sendings: 42, learners: 1 }), '2 of 42, one learner');
});

test('the wall shows the sign that sounds, where names are shown', () => {
  const wall = { start_room_ms: 1000, edges: [[0, 400], [500, 800], [900, 1200]], shifts: [], shown: 'VVA' };
  assert.deepEqual([0, 1000, 1600, 1950, 9000].map((at) => signNow(wall, at)), ['V', 'V', 'V', 'A', 'A']);
  assert.equal(signNow({ ...wall, edges: undefined, shifts: undefined, shown: '' }, 1600), '');
});

test('the wall follows the clock between what it is told', () => {
  const wall = { phase: 'counting in', begins_room_ms: 1000, ends_room_ms: 2000, tidy_ends_room_ms: 3000, shown: '', counted: true };
  assert.deepEqual([500, 1500, 2500, 3500].map((at) => wallPhase(wall, at)), ['counting in', 'sounding', 'tidying', 'waiting']);
  assert.equal(wallPhase({ ...wall, counted: false }, 2500), 'waiting');
  assert.equal(wallPhase({ ...wall, phase: 'closed' }, 1500), 'closed');
});

test('days are counted by the local date, as the server does', () => {
  assert.equal(localDay(new Date(1970, 0, 1, 12)), 0);
  assert.equal(localDay(new Date(1970, 0, 31, 23, 59)), 30);
  assert.equal(localDay(new Date(2026, 10, 25, 0, 1)) - localDay(new Date(2026, 10, 24, 23, 59)), 1);
});

test('an empty table says why it is empty', () => {
  const aside = { seat: 0, first: 0 };
  const words = (changed, asides = [], scope = 'run') =>
    emptyWords(scope, { run: { push: 1, shown: '', ...changed }, table: { final: true }, room: { runs: [{ push: 1, asides }] } });
  assert.match(words({ phase: 'sounding' }), /^Nothing written in this run yet\./);
  assert.equal(words({ phase: 'closed' }), 'Nothing was written in this run.');
  assert.equal(words({ phase: 'revealed' }, [aside]), 'This run is set aside: nothing of it counts.');
  assert.equal(words({ phase: 'closed' }, [{ ...aside, seat: 2 }, { ...aside, first: 4 }]), 'Nothing was written in this run.');
  assert.match(words({ phase: 'closed', shown: 'E' }), /^Nobody writes in this run/);
  assert.equal(words({ phase: 'closed' }, [aside], 'evening'), 'No counted run yet.');
});
