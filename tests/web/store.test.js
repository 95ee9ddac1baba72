import assert from 'node:assert/strict';
import test from 'node:test';
import { createStore } from '../../static/js/core/store.js';

const counter = () => createStore((n, by) => n + by, 0);

test('a listener hears of each change, until it ends', () => {
  const store = counter();
  const seen = [];
  const end = store.subscribe(() => seen.push(store.get()));
  store.dispatch(2);
  store.dispatch(3);
  end();
  store.dispatch(4);
  assert.deepEqual(seen, [2, 5]);
});

test('nobody hears of what changes nothing', () => {
  const store = counter();
  let heard = 0;
  store.subscribe(() => (heard += 1));
  store.dispatch(0);
  assert.equal(heard, 0);
});

test('a listener may end itself or dispatch while it is told', () => {
  const store = counter();
  const end = store.subscribe(() => {
    end();
    store.dispatch(10);
  });
  store.dispatch(1);
  assert.equal(store.get(), 11);
});
