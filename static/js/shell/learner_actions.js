/** What the views of a learner's page may ask for. */
import { onDevice } from './storage.js';
import { createWriting } from './writing.js';

/** @import { Learner } from '../core/learner_state.js' */
/** @import { Settings, SettingsStore } from './device.js' */
/** @typedef {ReturnType<typeof createActions>} Actions */

/**
 * @param {object} wiring
 * @param {import('../core/learner_state.js').LearnerStore} wiring.store
 * @param {SettingsStore} wiring.settings
 * @param {import('./socket.js').Socket} wiring.connection
 * @param {import('./outbox.js').Outbox} wiring.outbox
 * @param {import('./learner_sound.js').LearnerSound} wiring.sound
 * @param {ReturnType<typeof import('./learner_seat.js').createSeat>} wiring.seat
 */
export function createActions({ store, settings, connection, outbox, sound, seat }) {
  /** @param {Partial<Learner>} changed */
  const set = (changed) => store.dispatch({ type: 'set', changed });

  return Object.freeze({
    ...createWriting({ store, connection, outbox }),
    send: connection.send,
    join: seat.join,
    takeOver: seat.takeOver,
    joinAsAnother: seat.joinAsAnother,
    joinAgain: () => store.dispatch({ type: 'left' }),
    leave() {
      seat.giveUp();
      location.assign('/');
    },

    async unlock() {
      const running = await sound.unlock();
      if (running) set({ audio: 'running' });
      sound.report();
      return running;
    },
    soundDone() {
      onDevice.write('sound_done', store.get().seat?.token);
      set({ soundDone: true });
    },
    cannotHear: () => connection.send('cannot_hear', {}),
    hearNow: () => connection.send('hear_now', {}),
    test: sound.test,
    compare: sound.compare,
    startBeat: sound.startBeat,
    stopBeat: sound.stopBeat,
    putReviewAway: () => set({ review: null }),
    /** @param {Partial<Settings>} changed */
    set: (changed) => settings.dispatch(changed),

    /** @param {'typing' | 'paper'} way */
    chooseWay(way) {
      connection.send('choose_way', { way });
      const { marks, closed, copyWay } = store.get();
      set({ way, wayDone: true, copyWay: marks.length === 0 && !closed ? way : copyWay });
    },
  });
}
