/** Group exercises in the composer: each kind's own file asks for what it needs; beginning and planning are the same for all. */
import { html, useState } from '../../../vendor/preact.js';
import { EXERCISES } from '../../wire.js';
import { ExerciseSetUp, HowItGoes } from '../parts/exercise.js';
import { useConsole, useDesk } from './desk.js';

/** @import { Setup } from '../parts/exercise.js' */

/** @returns {[string, string][]} */
export const exerciseOptions = () => Object.entries(EXERCISES).map(([kind, { title }]) => [kind, title]);

/** @param {{ kind: string }} props */
export function Together({ kind }) {
  const [setup, setSetup] = useState(/** @type {Setup | null} */ (null));
  const { dispatch, send } = useDesk();
  const connected = useConsole((state) => state.connection === 'connected');
  const after = useConsole((state) => state.run?.push ?? 0);
  const cannot = setup === null || !connected;
  const begin = () => setup !== null && send('start_exercise', { kind, setup, after });
  const put = () => {
    if (setup !== null && send('add_exercise', { kind, setup })) dispatch({ type: 'composing', on: false });
  };
  return html`<p class="help">${EXERCISES[kind]?.hint} <${HowItGoes} kind=${kind} /></p>
    <${ExerciseSetUp} kind=${kind} setup=${setup} change=${setSetup} />
    <div class="actions">
      <button type="button" class="button" data-kind="bare" data-size="small" disabled=${cannot} onClick=${put}>Put in the plan</button>
      <button type="button" class="button" data-kind="primary" data-action="primary" data-sends="" disabled=${cannot}
        onClick=${begin}>Begin <kbd class="kbd">Ctrl ⏎</kbd></button>
    </div>`;
}
