import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import test from 'node:test';

const css = readFileSync(new URL('../../static/css/tokens.css', import.meta.url), 'utf8');

/** The colours of the block that begins with `selector`, over those of the light theme. */
function theme(selector) {
  const from = css.indexOf(`${selector} {`);
  assert.ok(from >= 0, selector);
  const block = css.slice(from, css.indexOf('}', from));
  return Object.fromEntries([...block.matchAll(/--([\w-]+): (#[0-9a-f]+);/g)].map(([, name, hex]) => [name, hex]));
}
const light = theme(':root');
const dark = theme(':root[data-theme="dark"]');

/** Relative luminance and contrast as WCAG 2.2 defines them. */
function luminance(hex) {
  const [r, g, b] = [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255)
    .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function contrast(a, b) {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

test('black on white is 21 : 1, as WCAG 2.2 says', () => {
  assert.equal(contrast('#000000', '#ffffff'), 21);
});

// WCAG 2.2, 1.4.3: 4.5 : 1 for text; 1.4.11: 3 : 1 for what controls and marks are told by.
const TEXT = [
  ...['ink', 'soft', 'lamp', 'done', 'alert'].flatMap((text) => ['paper', 'sheet', 'lamp-paper'].map((on) => [text, on])),
  ...['agree-1', 'agree-2', 'confusion-1', 'confusion-2', 'confusion-3'].map((on) => ['ink', on]),
  ['on-confusion', 'confusion-4'], ['on-confusion', 'confusion-5'], ['on-ink', 'ink'],
];
const MARKS = ['edge', 'lamp', 'agree-mark', 'confusion-5', 'done'].flatMap((mark) => [[mark, 'paper'], [mark, 'sheet']]);

for (const [name, colours] of [['light', light], ['dark', { ...light, ...dark }]]) {
  test(`${name}: text is told from what it lies on`, () => {
    for (const [text, on] of TEXT) {
      assert.ok(contrast(colours[text], colours[on]) >= 4.5, `${text} on ${on}: ${contrast(colours[text], colours[on])}`);
    }
  });
  test(`${name}: controls and marks are told from what they lie on`, () => {
    for (const [mark, on] of MARKS) {
      assert.ok(contrast(colours[mark], colours[on]) >= 3, `${mark} on ${on}: ${contrast(colours[mark], colours[on])}`);
    }
  });
}

test('the dark theme is the same by wish and by choice, and leaves no colour out', () => {
  assert.deepEqual(theme(':root:not([data-theme="light"])'), dark);
  assert.deepEqual(Object.keys(light).sort(), Object.keys(dark).sort());
});

/**
 * WCAG 2.2, "general flash": a pair of opposing changes in relative luminance of 10 % or more of the maximum, where
 * the darker image is below 0.80. What is no such flash may come and go as fast as sounds do (2.3.1).
 */
function isGeneralFlash(a, b) {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return high - low >= 0.1 && low < 0.8;
}
/** 25 % of any 341 x 256 CSS px: up to here flashing is allowed at any speed (2.3.1, its "small safe area"; from memory). */
const SMALL_AREA_PX = 0.25 * 341 * 256;

const styles = (file) => readFileSync(new URL(`../../static/css/${file}.css`, import.meta.url), 'utf8');
const tokenOf = (text, selector, property) => {
  const block = text.slice(text.indexOf(`${selector} {`)).split('}')[0];
  return block.match(new RegExp(`${property}: (?:[^;]*?)var\\(--([\\w-]+)\\);`))?.[1] ?? assert.fail(`${selector}, ${property}`);
};

test('black and white are a general flash, white and cream are none', () => {
  assert.equal(isGeneralFlash('#000000', '#ffffff'), true);
  assert.equal(isGeneralFlash('#808080', '#999999'), true);
  assert.equal(isGeneralFlash('#ffffff', '#fbefd8'), false, 'the darker one is above 0.80');
  assert.equal(isGeneralFlash('#000000', '#303030'), false, 'a change of less than 0.10');
});

for (const [name, colours] of [['light', light], ['dark', { ...light, ...dark }]]) {
  test(`${name}: what is filled while a sound sounds is no general flash`, () => {
    const silent = tokenOf(styles('base'), '.sheet', 'background');
    for (const [file, box] of [['writing', '.big-sign'], ['reveal', '.found']]) {
      const sounding = tokenOf(styles(file), `${box}[data-sounds="true"]`, 'background');
      assert.equal(isGeneralFlash(colours[silent], colours[sounding]), false, box);
    }
  });
}

test('what does flash is small: the border of the sound that is met, and the lamp', () => {
  const writing = styles('writing');
  const boxPx = 16 * Number(/\.big-sign \{[^}]*width: min\(70vw, (\d+)rem\)/.exec(writing)[1]);
  const strokePx = Number(/--stroke: (\d+)px/.exec(css)[1]);
  assert.equal(tokenOf(writing, '.big-sign', 'border-width'), 'stroke');
  assert.ok(4 * boxPx * strokePx < SMALL_AREA_PX);
  const lampPx = 16 * Number(/\.lamp \{\s*width: ([\d.]+)rem/.exec(writing)[1]);
  assert.ok(lampPx ** 2 < SMALL_AREA_PX);
});

test('nothing else comes and goes with the sound, on no page and not on the wall', () => {
  const files = readdirSync(new URL('../../static/css/', import.meta.url)).map((file) => styles(file.replace('.css', '')));
  const flashing = files.flatMap((text) => [...text.matchAll(/(\S+)(?:\[data-sounds\b|(?<=\.lamp)\[data-lit\])/g)]);
  assert.deepEqual(flashing.map(([, selector]) => selector).sort(), ['.big-sign', '.found', '.lamp']);
});
