/** A learner's seat: taking it, taking it again after whatever broke, and giving it up. */
import * as seats from './seats.js';
import { inTab, onDevice } from './storage.js';

/** @typedef {import('../core/learner_state.js').Learner} Learner */

/**
 * @param {object} wiring
 * @param {import('../core/store.js').Store<Learner, import('../core/learner_state.js').Action>} wiring.store
 * @param {ReturnType<typeof import('./socket.js').connect>} wiring.connection
 * @param {ReturnType<typeof import('./outbox.js').createOutbox>} wiring.outbox
 * @param {ReturnType<typeof import('./learner_sound.js').createLearnerSound>} wiring.sound
 * @param {(whom: { code: string, name: string, token: string } | null) => void} wiring.greetAs
 */
export function createSeat({ store, connection, outbox, sound, greetAs }) {
  let thisTabOnly = false;
  const hold = seats.createHold(stepAside);

  /** @param {string} code @param {string} name @param {string} [token] */
  function join(code, name, token = '') {
    greetAs({ code, name, token });
    store.dispatch({ type: 'set', changed: { code, asking: token ? 'returning' : 'joining' } });
    connection.greet();
  }

  /** Sit down on the remembered seat, unless another page of this browser does. */
  async function begin() {
    const { code } = store.get();
    const ticket = seats.remembered(code);
    const taking = inTab.read('take') === true;
    inTab.forget('take');
    if (ticket === undefined) return;
    store.dispatch({ type: 'set', changed: { asking: 'returning' } });
    if (!taking && (await hold.isHeldElsewhere(ticket.token))) {
      store.dispatch({ type: 'set', changed: { elsewhere: true, asking: '' } });
      return;
    }
    const known = onDevice.read('sound_done') === ticket.token;
    store.dispatch({ type: 'set', changed: { soundDone: known, wayDone: known } });
    join(code, ticket.name, ticket.token);
  }

  /** @param {import('../wire.js').WelcomeOut} told */
  function welcome(told) {
    const { code, seat, name, token, push, copy } = told;
    greetAs({ code, name, token });
    seats.remember(code, { token, name }, thisTabOnly);
    hold.take(token);
    outbox.open(code, seat);
    if (push !== null) {
      outbox.clearBefore(push.push);
      outbox.keep(push.push, copy?.kept ?? 0);
    }
    const waiting = push === null ? [] : outbox.waiting(push.push);
    store.dispatch({ type: 'told', name: 'welcome', payload: told, waiting });
    outbox.sendAll();
    if (push !== null && store.get().handedIn && !copy?.handed_in) connection.send('hand_in', { push: push.push });
    sound.resume();
    sound.report(true);
    history.replaceState(null, '', `/r/${encodeURIComponent(code)}${location.search}`);
  }

  /** Another page of this browser sits here now. */
  function stepAside() {
    sound.stop();
    connection.close();
    store.dispatch({ type: 'set', changed: { elsewhere: true } });
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
    takeOver() {
      inTab.write('take', true);
      location.reload();
    },
    joinAsAnother() {
      thisTabOnly = true;
      store.dispatch({ type: 'left' });
    },
  });
}
