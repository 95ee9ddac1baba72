/**
 * The pad: a key for a finger, a mouse or the space bar, or two of them. Only a small lamp and the edge change while it is
 * down: hand keying flashes more than three times a second, and no large area may (WCAG 2.2, 2.3.1).
 */
import { html, useEffect, useState } from '../../../vendor/preact.js';

/** @typedef {{ key: import('../../shell/key.js').Key, sidetone: import('../../shell/sidetone.js').Sidetone, isDown: boolean }} Sound */
/** @import { Paddle } from '../../core/keyer.js' */

/** @type {Record<string, Paddle>} */
const PADDLES = { ArrowLeft: 'dit', ArrowRight: 'dah' };

/** @param {{ sound: Sound, two: boolean, isOn: boolean }} props  isOn: what is keyed goes to the class */
export function Pad({ sound, two, isOn }) {
  const { key, sidetone, isDown } = sound;
  useKeyboard(key, two);
  const [isAwake, setAwake] = useState(sidetone.isAwake());
  const wake = () => void sidetone.wake().then(setAwake, () => {});
  useEffect(wake, []);
  const words = isDown ? 'key down' : isOn ? 'key up' : 'try your key: nobody hears it yet';
  return html`<div class="key-pad" data-down=${isDown ? '' : undefined} role="group" aria-label=${two ? 'Two keys' : 'Key'}>
    <p class="key-lamp"><span class="dot" data-is=${isDown ? 'now' : ''} aria-hidden="true"></span> ${isAwake ? words : 'tap once to wake the sound'}</p>
    <div class="key-fields">
      ${two
        ? html`<${Field} words="dit" hint="←" down=${(/** @type {number} */ at) => (wake(), key.touch('dit', at))} up=${() => key.release('dit')} />
          <${Field} words="dah" hint="→" down=${(/** @type {number} */ at) => (wake(), key.touch('dah', at))} up=${() => key.release('dah')} />`
        : html`<${Field} words="hold anywhere here" hint="space" down=${(/** @type {number} */ at) => (key.press(at), wake())} up=${key.lift} />`}
    </div>
  </div>`;
}

/** @param {{ words: string, hint: string, down: (atMs: number) => void, up: (atMs: number) => void }} props */
function Field({ words, hint, down, up }) {
  const press = (/** @type {PointerEvent & { currentTarget: Element }} */ event) => {
    if (event.button !== 0) return;
    down(event.timeStamp);
    event.preventDefault();
    event.currentTarget.setPointerCapture(event.pointerId);
  };
  const lift = (/** @type {PointerEvent} */ event) => up(event.timeStamp);
  return html`<button type="button" class="key-field" tabindex="-1" onPointerDown=${press} onPointerUp=${lift} onPointerCancel=${lift}
    onLostPointerCapture=${lift} onContextMenu=${(/** @type {Event} */ event) => event.preventDefault()}>
    <span>${words}</span> <kbd class="kbd">${hint}</kbd></button>`;
}

/** The keyboard's keys while the pad is there. @param {import('../../shell/key.js').Key} key @param {boolean} two */
function useKeyboard(key, two) {
  useEffect(() => {
    const down = (/** @type {KeyboardEvent} */ event) => {
      const paddle = PADDLES[event.key];
      if (isElsewhere(event) || (two ? paddle === undefined : event.key !== ' ')) return;
      if (!event.repeat && two) key.touch(paddle, event.timeStamp);
      if (!event.repeat && !two) key.press(event.timeStamp);
      event.preventDefault();
    };
    const up = (/** @type {KeyboardEvent} */ event) => {
      const paddle = PADDLES[event.key];
      if (two ? paddle === undefined : event.key !== ' ') return;
      if (two) key.release(paddle);
      else key.lift(event.timeStamp);
      if (!isElsewhere(event)) event.preventDefault(); // a focused button would be pressed
    };
    const hidden = () => document.hidden && key.rest();
    window.addEventListener('keydown', down, true);
    window.addEventListener('keyup', up, true);
    window.addEventListener('blur', key.rest);
    document.addEventListener('visibilitychange', hidden);
    return () => {
      key.rest();
      window.removeEventListener('keydown', down, true);
      window.removeEventListener('keyup', up, true);
      window.removeEventListener('blur', key.rest);
      document.removeEventListener('visibilitychange', hidden);
    };
  }, [key, two]);
}

/** A field, a dialog, or a button that somebody came to by keyboard, has the key. @param {KeyboardEvent} event */
function isElsewhere({ target, ctrlKey, metaKey, altKey }) {
  if (ctrlKey || metaKey || altKey || document.querySelector('dialog[open]') !== null) return true;
  return target instanceof Element && target.closest('input, textarea, select, summary, a, button:focus-visible') !== null;
}
