/** A learner's seat: taking it, taking it again after whatever broke, and giving it up. */
import * as seats from './seats.js';
import { onDevice } from './storage.js';

/** @import { Learner, LearnerStore } from '../core/learner_state.js' */

/**
 * @param {object} wiring
 * @param {LearnerStore} wiring.store
 * @param {import('./socket.js').Socket} wiring.connection
 * @param {import('./outbox.js').Outbox} wiring.outbox
 * @param {import('./learner_sound.js').LearnerSound} wiring.sound
 * @param {{ code: string, key: string }} wiring.link  that opened the page; its key opens the door to who scanned it
 * @param {(whom: { code: string, name: string, token: string } | null) => void} wiring.greetAs
 */
export function createSeat({ store, connection, outbox, sound, link, greetAs }) {
  let thisTabOnly = false;
  /** @param {Partial<Learner>} changed */
  const set = (changed) => store.dispatch({ type: 'set', changed });
  const hold = seats.createHold(() => { // another page of this browser sits here now
    sound.stop();
    connection.close();
    set({ elsewhere: true });
  });

  /** @param {string} code @param {string} name @param {string} [token] */
  function join(code, name, token = '') {
    greetAs({ code: link.key !== '' && code === link.code ? `${code}.${link.key}` : code, name, token });
    set({ code, asking: token ? 'returning' : 'joining' });
    connection.aim(code);
    connection.greet();
  }

  /** Sit down on the remembered seat, unless another page of this browser does. */
  async function begin() {
    const { code } = store.get();
    const ticket = seats.remembered(code);
    const taking = seats.isTakingOver();
    if (ticket === undefined) return;
    set({ asking: 'returning' });
    if (!taking && (await hold.isHeldElsewhere(ticket.token))) {
      set({ elsewhere: true, asking: '' });
      return;
    }
    const known = onDevice.read('sound_done') === ticket.token;
    set({ soundDone: known, wayDone: known });
    join(code, ticket.name, ticket.token);
  }

  /** @param {import('../wire.js').WelcomeOut} told */
  function welcome(told) {
    const { code, name, token, push, copy } = told;
    greetAs({ code, name, token });
    seats.remember(code, { token, name }, thisTabOnly);
    hold.take(token);
    const waiting = outbox.open(code, token, push?.push, copy?.kept ?? 0);
    store.dispatch({ type: 'told', name: 'welcome', payload: told, waiting });
    outbox.sendAll();
    if (push !== null && store.get().handedIn && !copy?.handed_in) connection.send('hand_in', { push: push.push });
    sound.resume();
    sound.report(true);
    history.replaceState(null, '', `/r/${encodeURIComponent(code)}${location.search}`);
  }

  function giveUp() {
    const { seat, code } = store.get();
    if (seat !== null) seats.forget(code, seat.token);
    outbox.forget();
    hold.release();
    sound.stop();
    greetAs(null);
  }

  return Object.freeze({
    join,
    begin,
    welcome,
    giveUp,
    takeOver: seats.takeOver,
    joinAsAnother() {
      thisTabOnly = true;
      store.dispatch({ type: 'left' });
    },
  });
}
