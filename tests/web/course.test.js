import assert from 'node:assert/strict';
import { test } from 'node:test';
import { covering, extentOf, movedInCourse, orderAsText, pinnedOrNot, readOrder, tooShort, withoutSign } from '../../static/js/core/course.js';

const computed = { emphasis: 'words', signs: '', pins: [] };

test('in a computed order a sound that is moved is pinned at its new place', () => {
  assert.deepEqual(movedInCourse(computed, 'ABCD', 'B', 2), { emphasis: 'words', signs: 'ABCD', pins: [{ sign: 'B', place: 2 }] });
});

test('a sound moved to where another is pinned changes places with it: no two pins want one place', () => {
  const { pins } = movedInCourse({ ...computed, pins: [{ sign: 'C', place: 2 }] }, 'ABCD', 'B', 2);
  assert.deepEqual(pins, [{ sign: 'C', place: 1 }, { sign: 'B', place: 2 }]);
});

test('an order of one’s own is rearranged, without pins', () => {
  assert.deepEqual(movedInCourse({ emphasis: 'own', signs: 'ABCD', pins: [] }, 'ABCD', 'D', 0), { emphasis: 'own', signs: 'DABC', pins: [] });
});

test('nothing moves past either end', () => {
  assert.deepEqual([movedInCourse(computed, 'AB', 'A', -1), movedInCourse(computed, 'AB', 'B', 2)], [computed, computed]);
});

test('a pin is set where the sound stands, and taken out again', () => {
  const pinned = pinnedOrNot(computed, 'ABCD', 'C');
  assert.deepEqual(pinned.pins, [{ sign: 'C', place: 2 }]);
  assert.deepEqual(pinnedOrNot(pinned, 'ABCD', 'C').pins, []);
});

test('leaving a sound out takes its pin and moves up those behind it', () => {
  const draft = { ...computed, pins: [{ sign: 'A', place: 0 }, { sign: 'B', place: 1 }, { sign: 'D', place: 3 }] };
  assert.deepEqual(withoutSign(draft, 'ABCD', 'B'), { emphasis: 'words', signs: 'ACD', pins: [{ sign: 'A', place: 0 }, { sign: 'D', place: 2 }] });
});

test('a pasted order is read whatever stands between its sounds, each sound once', () => {
  assert.deepEqual(readOrder(' k m\nR s k 5'), { signs: 'KMRS5', unknown: [] });
  assert.deepEqual(readOrder('E % T').unknown, ['%']);
});

test('joined signals are written and read as letters under overlines', () => {
  const text = orderAsText('A␄=');
  assert.equal(text, 'A S\u0305K\u0305 =');
  assert.equal(readOrder(text).signs, 'A␄=');
  assert.equal(readOrder('b\u0305t\u0305').signs, '=');
});

const extents = [{ title: 'Letters', signs: 'ABCD' }, { title: 'All', signs: 'ABCD12' }];

test('what a course covers is told from its sounds in any order', () => {
  assert.deepEqual(['DCBA', 'A1B2CD', 'AB'].map((order) => extentOf(extents, order)), ['Letters', 'All', '']);
});

test('a smaller course lets go of the pins that it has no place for', () => {
  const draft = { ...computed, signs: 'ABCD12', pins: [{ sign: '1', place: 0 }, { sign: 'B', place: 5 }, { sign: 'C', place: 1 }] };
  assert.deepEqual(covering(draft, extents, 'Letters'), { emphasis: 'words', signs: 'ABCD', pins: [{ sign: 'C', place: 1 }] });
});

test('a course too short for its sounds says so, and by how much', () => {
  assert.equal(tooShort('ABCDEFGHI', 'A', 2, 4), '');
  assert.equal(tooShort('ABCDEFGHI', '', 2, 4),
    'Too short: 9 sounds are still to be met, at most 4 a meeting. That takes 3 meetings; 2 meetings are left.');
  assert.match(tooShort('ABCDEFGHI', '', 1, 4), /one meeting is left/);
  assert.match(tooShort('ABCD', '', 0, 4), /no meeting is left/);
});
