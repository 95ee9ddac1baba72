import assert from 'node:assert/strict';
import test from 'node:test';
import { signsOf } from '../../static/js/core/copy.js';
import * as learner from '../../static/js/core/learner_state.js';
import * as moment from '../../static/js/core/moment.js';
import { encouragement, groupsOf, lateWords, scoreWords } from '../../static/js/core/reveal.js';
import { inTurn, tonesOf } from '../../static/js/core/tones.js';

const PUSH = {
  push: 3, start_room_ms: 10_000, pitch_hz: 600, edges: [[0, 100], [300, 400, 500, 800], [1000, 1100]], sounds: 3, end_ms: 1100, shifts: [],
  symbols: 'ETA', tidy_ms: 5000, counted: true, shown: '',
};
const CLASS = { title: 'Class', hearing: 'every', source: 0, pitch_hz: 600, wpm: 18 };
const WELCOME = {
  code: 'ROOM', seat: 2, name: 'Hana', token: 't', inside: true, way: 'typing', class: CLASS, push: null, phase: '',
  halt: null, copy: null, reveal: null, review: null, asks_help: false,
};
const told = (state, name, payload, waiting) => learner.reduce(state, { type: 'told', name, payload, waiting });
const set = (state, changed) => learner.reduce(state, { type: 'set', changed });
const READY = set(told(learner.NEW, 'welcome', WELCOME), { soundDone: true, wayDone: true });
const RUN = told(READY, 'push', PUSH);
const wrote = (state, signs, atMs = 0) =>
  learner.reduce(state, { type: 'wrote', keys: [...signs].map((sign) => ({ at_ms: atMs, sign })) });

test('the way in: join, the door, sound check, way of writing, ready', () => {
  assert.equal(learner.screenOf(learner.NEW), 'join');
  const atDoor = told(learner.NEW, 'welcome', { ...WELCOME, inside: false });
  assert.equal(learner.screenOf(atDoor), 'door');
  const inside = told(atDoor, 'welcome', WELCOME);
  assert.equal(learner.screenOf(inside), 'sound');
  assert.equal(learner.screenOf(set(inside, { soundDone: true })), 'way');
  assert.equal(learner.screenOf(READY), 'ready');
});

test('what is to review at home is shown between runs, until it is put away or the next run comes', () => {
  const review = { seat: 1, days: 7, meeting_day: 20000, rows: [{ day: 20001, signs: 'AN', why: '' }] };
  const given = told(READY, 'review', review);
  assert.equal(learner.screenOf(given), 'until next time');
  assert.equal(learner.screenOf(set(given, { review: null })), 'ready');
  assert.equal(learner.screenOf(told(RUN, 'review', review)), 'run', 'a run at hand is not covered');
  assert.equal(learner.screenOf(told(told(RUN, 'review', review), 'closed', { push: RUN.push.push })), 'until next time');
  assert.equal(told(given, 'push', PUSH).review, null);
  assert.deepEqual(told(learner.NEW, 'welcome', { ...WELCOME, review }).review, review);
});

test('a refused join says why and asks no more', () => {
  const refused = told(set(learner.NEW, { asking: 'joining' }), 'refused', { sentence: 'This room is full.' });
  assert.deepEqual([refused.asking, refused.word.sentence], ['', 'This room is full.']);
});

test('a run goes from count-in to sounding, tidy-up and the wait for late sheets', () => {
  const run = learner.runOf(RUN);
  const phases = [9_999, 10_000, 11_099, 11_100, 16_099, 16_100].map((roomMs) => moment.phaseAt(run, roomMs));
  assert.deepEqual(phases, ['counting in', 'sounding', 'sounding', 'tidying', 'tidying', 'waiting']);
});

test('a run that comes in parts keeps its sheet when it is stopped, unless it had not begun', () => {
  const open = told(READY, 'push', { ...PUSH, edges: [], sounds: 0, end_ms: 0 });
  const halt = { push: 3, at_room_ms: 12_000, for_good: true, sent: 0 };
  assert.equal(learner.screenOf(told(open, 'halt', halt)), 'run');
  assert.equal(learner.screenOf(told(open, 'halt', { ...halt, at_room_ms: 9_000 })), 'ready');
});

test('a run stopped before its first sound leaves the page waiting for the next', () => {
  const cancelled = told(RUN, 'halt', { push: 3, at_room_ms: 10_050, for_good: true, sent: 0 });
  assert.equal(learner.screenOf(cancelled), 'ready');
  assert.equal(learner.screenOf(told(cancelled, 'push', { ...PUSH, push: 4 })), 'run');
});

test('a pause holds the run, going on shifts the rest, a stop ends it after what was complete', () => {
  const paused = told(RUN, 'halt', { push: 3, at_room_ms: 10_200, for_good: false, sent: 3 });
  assert.equal(learner.phaseOf(paused, 99_000), 'paused');
  const shifted = told(paused, 'shift', { push: 3, shifts: [{ first: 1, shift_ms: 2000 }] });
  assert.equal(moment.lastEndRoomMs(learner.runOf(shifted)), 13_100);
  assert.equal(learner.phaseOf(shifted, 13_099), 'sounding');
  const stopped = told(RUN, 'halt', { push: 3, at_room_ms: 10_200, for_good: true, sent: 1 });
  assert.equal(moment.lastEndRoomMs(learner.runOf(stopped)), 10_100);
  assert.equal(learner.phaseOf(stopped, 10_200), 'tidying');
});

test('symbols and tones at a moment', () => {
  const run = learner.runOf(RUN);
  assert.deepEqual([9_000, 10_050, 10_200, 10_450, 10_900, 20_000].map((ms) => moment.symbolAt(run, ms)), [-1, 0, 0, 1, 1, 2]);
  assert.deepEqual([10_050, 10_200, 10_350, 10_450, 10_600].map((ms) => moment.toneAt(run, ms)), [true, false, true, false, true]);
  assert.deepEqual([10_099, 10_100, 10_800, 11_100].map((ms) => moment.completeAt(run, ms)), [0, 1, 2, 3]);
});

test('a run whose last sounds come later has its whole length from the first on', () => {
  const begun = told(READY, 'push', { ...PUSH, edges: PUSH.edges.slice(0, 1) });
  const more = (state, first, stop) => told(state, 'more', { push: 3, first, edges: PUSH.edges.slice(first, stop) });
  const run = learner.runOf(begun);
  assert.deepEqual([run.sent, moment.lastEndRoomMs(run)], [3, 11_100]);
  assert.deepEqual([10_050, 11_099, 11_100].map((ms) => moment.phaseAt(run, ms)), ['sounding', 'sounding', 'tidying']);
  assert.equal(moment.completeAt(run, 20_000), 1, 'what nobody knows has not sounded here');
  assert.deepEqual(more(more(begun, 1, 2), 2, 3).push.edges, PUSH.edges);
  assert.deepEqual(more(begun, 0, 3).push.edges, PUSH.edges, 'told again from the beginning');
  assert.deepEqual(more(begun, 2, 3).push.edges, begun.push.edges, 'after a gap');
  assert.equal(told(begun, 'more', { push: 2, first: 0, edges: PUSH.edges }), begun);
  const shifted = told(begun, 'shift', { push: 3, shifts: [{ first: 1, shift_ms: 2000 }] });
  assert.equal(moment.lastEndRoomMs(learner.runOf(shifted)), 13_100);
});

test('a halt or a reveal of another push changes nothing', () => {
  assert.equal(told(RUN, 'halt', { push: 2, at_room_ms: 0, for_good: true, sent: 0 }), RUN);
  assert.equal(told(RUN, 'reveal', { push: 2 }), RUN);
});

test('while the sound runs a key appends, and nothing goes back', () => {
  assert.deepEqual(learner.strokeFor(RUN, 'e', 10_050), { key: { at_ms: 50, sign: 'E' } });
  assert.match(learner.erasureFor(wrote(RUN, 'E'), 10_500).why, /No going back/);
  assert.deepEqual(learner.strokeFor(RUN, '%', 10_050), {});
});

test('before the start and after the tidy-up time nothing is written, and the page says why', () => {
  assert.match(learner.strokeFor(RUN, 'E', 9_000).why, /not started/);
  assert.match(learner.strokeFor(RUN, 'E', 17_000).why, /over/);
});

test('in the tidy-up time a chosen mark is changed, inserted before, erased', () => {
  const state = learner.reduce(wrote(RUN, 'ETA'), { type: 'chose_place', place: 1 });
  const stroke = learner.strokeFor(state, 'A', 12_000).key;
  assert.deepEqual(stroke, { at_ms: 2000, sign: 'A', change: 1 });
  assert.equal(signsOf(learner.reduce(state, { type: 'wrote', keys: [stroke] }).marks), 'EAA');
  const before = learner.strokeFor(set(state, { inserting: true }), 'A', 12_000).key;
  const inserted = learner.reduce(state, { type: 'wrote', keys: [before] });
  assert.deepEqual([signsOf(inserted.marks), inserted.place], ['EATA', 2]);
  const erased = learner.reduce(state, { type: 'wrote', keys: [learner.erasureFor(state, 12_000).key] });
  assert.deepEqual([signsOf(erased.marks), erased.place], ['EA', 1]);
});

test('after a break the copy is what the server holds, and then what it does not hold yet', () => {
  const copy = { way: 'typing', kept: 2, marks: [['E', 50], ['T', 900]], handed_in: false };
  const welcome = { ...WELCOME, push: PUSH, phase: 'sounding', copy };
  const back = told(RUN, 'welcome', welcome, [{ at_ms: 1200, sign: 'A' }]);
  assert.equal(signsOf(back.marks), 'ETA');
  assert.equal(learner.screenOf(back), 'run');
});

test('handing in without a connection is not forgotten by the next welcome', () => {
  const welcome = { ...WELCOME, push: PUSH, phase: 'tidying', copy: { way: 'typing', kept: 0, marks: [], handed_in: false } };
  assert.equal(told(set(RUN, { handedIn: true }), 'welcome', welcome).handedIn, true);
});

test('a paper copy may be keyed in until it is handed in or shown', () => {
  const paper = told(set(READY, { way: 'paper' }), 'push', PUSH);
  assert.equal(learner.screenOf(paper), 'paper');
  const closed = told(paper, 'closed', { push: 3 });
  assert.equal(learner.screenOf(closed), 'paper');
  assert.equal(learner.screenOf(set(closed, { handedIn: true })), 'closed');
});

test('what was sent is shown also to who wrote nothing here', () => {
  const reveal = { push: 3, text: 'ETA', sent: 3, marks: '', answers: [], unheard: [], right: 0, of: 0, own_count: null, late: '', aside_from: null, aside_why: '' };
  for (const way of ['paper', 'typing']) {
    const run = told(set(READY, { way }), 'push', PUSH);
    assert.equal(learner.screenOf(told(run, 'reveal', reveal)), 'reveal');
  }
});

test('a first meeting shows the sound and asks for nothing', () => {
  assert.equal(learner.screenOf(told(READY, 'push', { ...PUSH, shown: 'EEE' })), 'meeting');
});

test('with one loudspeaker every seat but the source leaves the sound to it', () => {
  const one = told(READY, 'class', { ...CLASS, hearing: 'loudspeaker', source: 2 });
  assert.equal(learner.leavesSoundToOthers(one), false);
  assert.equal(learner.leavesSoundToOthers(told(one, 'class', { ...CLASS, hearing: 'loudspeaker', source: 0 })), true);
  assert.equal(learner.leavesSoundToOthers(READY), false);
});

const REVEAL = {
  own_count: null, late: '', aside_from: null, aside_why: '',
  push: 3, text: 'ETA ETAET AETAETAETAET', sent: 10, marks: 'XE_', answers: [null, 0, 2], unheard: [9], right: 1, of: 9,
  taken: [], all_right: 'E',
};

test('what was set aside is on the sheet with its reason', () => {
  const reveal = { ...REVEAL, aside_from: 2, aside_why: 'Fire alarm' };
  assert.deepEqual(groupsOf(reveal)[0].map(({ kind }) => kind), ['extra', 'right', 'missed', 'aside']);
  assert.equal(encouragement(reveal), 'From sound 3 on it was set aside: Fire alarm.');
  assert.equal(encouragement({ ...reveal, aside_from: 0 }), 'This run was set aside: Fire alarm.');
});

test('a sheet of which nothing counts gets no figure', () => {
  assert.equal(scoreWords(REVEAL), '1 of 9 heard right');
  assert.equal(lateWords(REVEAL), '');
  assert.equal(lateWords({ ...REVEAL, late: 'KM' }), 'Came when this was shown already, and is not counted: K M');
  assert.equal(scoreWords({ ...REVEAL, right: 0, of: 0 }), 'Not counted');
});

test('the reveal puts each mark under what it answers, in the groups of the text that were sent', () => {
  const groups = groupsOf(REVEAL);
  assert.deepEqual(groups.map((group) => group.map(({ kind }) => kind).join(' ')), [
    'extra right missed blank', 'missed missed missed missed missed', 'missed unheard',
  ]);
  assert.equal(groups.flat().map(({ sent }) => sent).join(''), 'ETAETAETAE');
  assert.equal(groups.flat().map(({ written }) => written).join(''), 'XE_');
});

test('a long stretch without gaps is cut into fives', () => {
  const text = 'ETAETAETAETA';
  const answers = [...text].map((_, i) => i);
  const groups = groupsOf({ ...REVEAL, text, sent: 12, marks: `${text}E`, answers: [...answers, null], unheard: [] });
  assert.deepEqual(groups.map((group) => group.length), [5, 5, 3]);
});

test('nobody is praised for going on who stopped, nor for blanks that ended the copy', () => {
  const text = 'ETAN '.repeat(10).trim();
  const copy = (marks, answers, unheard = []) => encouragement({ ...REVEAL, text, sent: 40, right: 1, of: 40 - unheard.length, marks, answers, unheard });
  assert.doesNotMatch(copy('ETXN', [0, 1, 2, 3]), /You|went on to the end/, 'four of forty');
  assert.doesNotMatch(copy('ETX_', [0, 1, 2, 3]), /went on/);
  assert.match(copy('ETXN', [0, 1, 20, 38]), /You went on to the end/);
  assert.match(copy('ET_N', [0, 1, 20, 39]), /left blanks and went on/);
  const lost = Array.from({ length: 36 }, (_, i) => i + 4);
  assert.match(copy('ETXN', [0, 1, 2, 3], lost), /You went on to the end/, 'no more of it was heard');
});

test('a word for the copy holds for any count', () => {
  for (let right = 0; right <= 10; right += 1) {
    assert.ok(encouragement({ ...REVEAL, right, of: 10 }).length > 10);
  }
  assert.match(encouragement({ ...REVEAL, right: 0, of: 0 }), /nothing was counted/);
});

test('PARIS and a word space last 50 dots: 3 s at 20 words a minute', () => {
  // Recommendation ITU-R M.1677-1 (10/2009), Annex 1, clause 2: dash 3, between elements 1, between letters 3, between words 7 dots.
  const dotMs = 1200 / 20;
  let atMs = 0;
  for (const sign of 'PARIS') atMs = tonesOf(sign, 20, atMs).at(-1) + 3 * dotMs;
  assert.equal(Math.round(atMs + 4 * dotMs), 3000);
});

test('two sounds in turn do not touch', () => {
  const { edges, heard } = inTurn('V4', 20);
  assert.deepEqual(heard.map(({ sign }) => sign), ['V', '4']);
  assert.ok(heard[1].startMs - heard[0].endMs > 7 * 60);
  assert.deepEqual([...edges].sort((a, b) => a - b), edges);
});
