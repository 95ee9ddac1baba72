/** What every view of the learner's page may use. */
import { createContext, useContext } from '../../../vendor/preact.js';
import { useStore, useTicking } from '../parts/use_store.js';
import { phaseOf, runOf } from '../../core/learner_state.js';

/** @import { Learner, LearnerStore } from '../../core/learner_state.js' */
/** @import { Settings, SettingsStore } from '../../shell/device.js' */

/**
 * @typedef {object} Page
 * @property {LearnerStore} store
 * @property {SettingsStore} settings
 * @property {import('../../shell/learner_actions.js').Actions} actions
 * @property {() => number} roomMs  room time now, NaN while the clock is not usable
 * @property {() => { uncertaintyMs: number, exchanges: number }} clockStatus
 * @property {boolean} remembers  this device keeps the seat when the page is closed
 */

const context = createContext(/** @type {Page | null} */ (null));
export const PageProvider = context.Provider;

/** @returns {Page} */
export function usePage() {
  const page = useContext(context);
  if (page === null) throw new Error('no page around this view');
  return page;
}

/** @template Part @param {(state: Learner) => Part} select @returns {Part} */
export const useLearner = (select) => useStore(usePage().store, select);

/** @template Part @param {(settings: Settings) => Part} select @returns {Part} */
export const useSettings = (select) => useStore(usePage().settings, select);

/** Whether the class hears a run at this moment: what this page sounds beside it would spoil it. */
export const useClassSounds = () => usePhase() === 'sounding';

/** Where the run at hand stands now. */
export function usePhase() {
  const { store, roomMs } = usePage();
  return useTicking(() => phaseOf(store.get(), roomMs()));
}

/**
 * A value that follows from the run and the time.
 * @template Value
 * @param {(run: NonNullable<ReturnType<typeof runOf>>, roomMs: number) => Value} read
 * @param {Value} without  when there is no run, or no room time yet
 * @returns {Value}
 */
export function useMoment(read, without) {
  const { store, roomMs } = usePage();
  return useTicking(() => {
    const run = runOf(store.get());
    const nowMs = roomMs();
    return run === null || Number.isNaN(nowMs) ? without : read(run, nowMs);
  });
}
