/** The few things that the console asks for over HTTP instead of the socket. Each throws an Error with one sentence. */

/** @import { Place, RoomEntry, Session } from '../view/console/desk.js' */

const NO_ANSWER = 'The server does not answer. Is it still running?';

/**
 * @param {string} path
 * @param {object} [body]  posted when given
 * @returns {Promise<any>}
 */
async function ask(path, body) {
  const options = body === undefined ? {} : {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body),
  };
  const answer = await fetch(path, { ...options, cache: 'no-store' }).catch(() => null);
  if (answer === null) throw new Error(NO_ANSWER);
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(said.error ?? `The server refused that (${answer.status}).`);
  return said;
}

/**
 * Exchange the secret after "#" for a cookie, and take it out of the address bar.
 * @returns {Promise<boolean>} whether this browser may be here
 */
export async function enter() {
  const secret = location.hash.slice(1);
  if (secret === '') return mayStay();
  history.replaceState(null, '', location.pathname + location.search);
  return ask('/enter', { secret }).then(() => true, mayStay);
}

function mayStay() {
  return ask('/api/rooms').then(() => true, () => false);
}

/** @param {string} code @param {string} [wallKey] @returns {Promise<{ urls: Place[], reached: boolean }>} */
export const places = (code, wallKey = '') => ask(`/api/places?code=${encodeURIComponent(code)}&wall=${encodeURIComponent(wallKey)}`);

/** @returns {Promise<RoomEntry[]>} */
export const rooms = () => ask('/api/rooms');

/** @param {string} title @returns {Promise<{ code: string }>} */
export const openRoom = (title) => ask('/api/rooms', { title });

/** @param {string} code */
export const eraseRoom = (code) => ask(`/api/rooms/${encodeURIComponent(code)}/erase`, {});

/** @param {string} code */
export const keepRoom = (code) => ask(`/api/rooms/${encodeURIComponent(code)}/keep`, {});

/** Say that somebody has been told that a room is due. @param {string} code */
export const toldDue = (code) => ask(`/api/rooms/${encodeURIComponent(code)}/told-due`, {});

/** Where a room is downloaded from. @param {string} code */
export const downloadOf = (code) => `/api/rooms/${encodeURIComponent(code)}/download`;

/** @returns {Promise<{ keep_days: number, now: string, version: string }>} */
export const about = () => ask('/api/about');

/** @returns {Promise<Session[]>} */
export const sessions = () => ask('/api/sessions');

/** @param {string} id */
export const signOut = (id) => ask(`/api/sessions/${encodeURIComponent(id)}/sign_out`, {});
