import assert from 'node:assert/strict';
import { test } from 'node:test';
import { listFacts } from '../../static/js/core/word_list.js';

test('a list says how many of its words can be sent now, and which sounds the others wait for', () => {
  assert.deepEqual(listFacts('TEA TENT AXE', 'TEAN'), { count: 3, able: 2, unmet: 'X' });
  assert.deepEqual(listFacts('', 'TEAN'), { count: 0, able: 0, unmet: '' });
});
