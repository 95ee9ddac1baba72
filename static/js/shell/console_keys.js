import { SECOND_CLICK_MS } from '../core/run_orders.js';

/** The console's two keys. Esc may be switched off on a machine whose Esc is pressed by habit. */

const ESC_KEY = 'copyroom.esc_stops';

export function escStops() {
  try {
    return localStorage.getItem(ESC_KEY) !== 'no';
  } catch {
    return true; // storage is closed to this page: the key works
  }
}

/** @param {boolean} on */
export function setEscStops(on) {
  try {
    localStorage.setItem(ESC_KEY, on ? 'yes' : 'no');
  } catch {
    // Storage is closed to this page: the choice cannot be kept.
  }
}

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
