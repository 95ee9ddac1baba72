/** What could not be brought to the room before another run came lies on this device until a connection has taken it. */
import { withLetters } from '../core/late.js';
import { onDevice } from './storage.js';

/** @import { Letter } from '../core/late.js' */

/** What has been said on a connection that still holds after so long has arrived. */
const ARRIVED_MS = 5000;

/** @param {string} code @param {number} seat */
const place = (code, seat) => `late.${code}.${seat}`;

/** @param {string} code @param {number} seat @param {Letter['name']} name @param {number} push @param {readonly Letter['payload'][]} payloads */
export function keepLate(code, seat, name, push, payloads) {
  const before = /** @type {Letter[]} */ (onDevice.read(place(code, seat)) ?? []);
  const letters = withLetters(before, name, push, payloads);
  if (before.length > 0 || letters.length > 0) onDevice.write(place(code, seat), letters);
}

/**
 * On a new connection: all of it; the room takes nothing twice.
 * @param {string} code
 * @param {number} seat
 * @param {import('../core/messages.js').Send} send
 * @param {() => boolean} isConnected
 */
export function sendLate(code, seat, send, isConnected) {
  const letters = /** @type {Letter[]} */ (onDevice.read(place(code, seat)) ?? []);
  if (letters.length === 0) return;
  for (const { name, payload } of letters) send(name, payload);
  setTimeout(() => isConnected() && onDevice.forget(place(code, seat)), ARRIVED_MS);
}
