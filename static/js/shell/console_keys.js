/** The console's two keys. Esc may be switched off on a machine whose Esc is pressed by habit. */
import { SECOND_CLICK_MS } from '../core/run_orders.js';
import { onDevice } from './storage.js';

export const escStops = () => onDevice.read('esc_stops') !== false;

/** @param {boolean} on */
export const setEscStops = (on) => void onDevice.write('esc_stops', on);

/** @param {() => void} stop */
export function listenToKeys(stop) {
  let pressedMs = -Infinity;
  document.addEventListener('keydown', (event) => {
    if (event.defaultPrevented || document.querySelector('dialog[open]') !== null) return;
    if (event.key === 'Escape' && escStops() && !isTyping(event.target)) stop();
    if (event.key !== 'Enter' || !event.ctrlKey || event.repeat) return;
    // Pressed twice: the main button is another one by now.
    if (event.timeStamp - pressedMs > SECOND_CLICK_MS) press('[data-action="primary"]:not(:disabled)');
    pressedMs = event.timeStamp;
  });
}

/** @param {EventTarget | null} target */
function isTyping(target) {
  return target instanceof HTMLInputElement && (target.type === 'text' || target.type === 'number');
}

/** @param {string} selector */
function press(selector) {
  /** @type {HTMLButtonElement | null} */ (document.querySelector(selector))?.click();
}
