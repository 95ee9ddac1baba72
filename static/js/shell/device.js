/** The device around the page: its look, its screen, its vibration, and what was set on it. */
import { onDevice } from './storage.js';

/**
 * What the learner set on this device.
 * @typedef {object} Settings
 * @property {number} volume  0 to 1
 * @property {'auto' | 'light' | 'dark'} theme
 * @property {boolean} cover  earlier groups lie under a strip while the sound runs
 * @property {boolean} lamp
 * @property {boolean} vibrate
 * @property {number} noise  0 to 1
 * @property {number | null} pitchHz  null: the instructor's
 * @property {number} calibrationMs  how late this output is
 * @property {boolean} silent  others in the room sound for this one
 */

/** @typedef {import('../core/store.js').Store<Settings, Partial<Settings>>} SettingsStore */

/** @type {Settings} */
const UNSET = Object.freeze({
  volume: 0.3, theme: 'auto', cover: true, lamp: false, vibrate: false, noise: 0, pitchHz: null, calibrationMs: 0,
  silent: false,
});

/** @returns {Settings} */
export const savedSettings = () => ({ ...UNSET, ...onDevice.read('settings') });

/** @param {Settings} settings */
export const saveSettings = (settings) => void onDevice.write('settings', settings);

/** @param {Settings['theme']} theme */
export function showTheme(theme) {
  if (theme === 'auto') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
}

export const canVibrate = () => typeof navigator.vibrate === 'function';

/** @param {readonly number[]} edges  on, off, on, off ... in ms; shakes as long as each tone and rests between */
export function vibrate(edges) {
  const lengths = edges.slice(1).map((edge, i) => Math.round(edge - edges[i]));
  if (canVibrate()) navigator.vibrate(lengths);
}

/** Keeps the screen on while it is wanted, where the browser can (only over https or on this machine). */
export function createWakeLock() {
  let wanted = false;
  /** @type {WakeLockSentinel | null} */
  let lock = null;

  async function ask() {
    if (!wanted || document.hidden || lock !== null || !('wakeLock' in navigator)) return;
    try {
      lock = await navigator.wakeLock.request('screen');
      lock.addEventListener('release', () => (lock = null));
      if (!wanted) await lock.release();
    } catch {
      lock = null; // low battery: the hint in the sound check has to do
    }
  }
  document.addEventListener('visibilitychange', ask);

  return Object.freeze({
    /** @param {boolean} now */
    want(now) {
      wanted = now;
      if (now) ask();
      else lock?.release();
    },
  });
}
