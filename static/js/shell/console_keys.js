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
  document.addEventListener('keydown', (event) => {
    if (event.defaultPrevented || document.querySelector('dialog[open]') !== null) return;
    if (event.key === 'Escape' && escStops() && !isTyping(event.target)) stop();
    if (event.key === 'Enter' && event.ctrlKey) press('[data-action="primary"]');
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
