/** What every part of the console can reach: the state, the room's time, and the ways to act. */
import { createContext, useContext } from '../../../vendor/preact.js';
import { useStore } from '../parts/use_store.js';

/** @import { ConsoleEvent, ConsoleState } from '../../core/console_state.js' */
/** @typedef {{ url: string, interface: string, qr_svg: string, wall: string }} Place */
/** @typedef {{ code: string, title: string, opened: string, last: string, untouched_days: number, due: boolean,
 *   left_h: number | null, set_aside: boolean, seats: number }} RoomEntry */
/** A browser that is signed in as instructor. @typedef {{ id: string, browser: string, opened: string, this: boolean }} Session */

/**
 * @typedef {object} Desk
 * @property {import('../../core/console_state.js').ConsoleStore} store
 * @property {(event: ConsoleEvent) => void} dispatch
 * @property {import('../../core/messages.js').Send} send
 * @property {() => number} roomMs
 * @property {(a: string, b: string) => Promise<number>} hearBoth  how long they sound in ms; 0: not now
 * @property {import('../../shell/console_sound.js').ConsoleSound} sound
 * @property {typeof import('../../shell/console_api.js')} api
 * @property {(code: string) => void} goToRoom
 */

export const DeskContext = createContext(/** @type {Desk | null} */ (null));

/** @returns {Desk} */
export function useDesk() {
  const desk = useContext(DeskContext);
  if (desk === null) throw new Error('the console has no desk here');
  return desk;
}

/**
 * A part of the console's state.
 * @template Part
 * @param {(state: ConsoleState) => Part} select
 * @returns {Part}
 */
export function useConsole(select) {
  return useStore(useDesk().store, select);
}

/** How to open a dialog. @returns {(dialog: string, about?: number) => void} */
export function useDialog() {
  const { dispatch } = useDesk();
  return (dialog, about) => dispatch({ type: 'dialog', dialog, about });
}
