import assert from 'node:assert/strict';
import { test } from 'node:test';
import { movedInCourse, orderAsText, pinnedOrNot, readOrder, withoutSign } from '../../static/js/core/course.js';

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
