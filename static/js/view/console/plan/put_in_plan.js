/** What is composed goes into the plan as its next step instead of to the class at once. */
import { html } from '../../../../vendor/preact.js';
import { isComplete } from '../../../core/console_state.js';
import { useConsole, useDesk } from '../desk.js';

export function PutInPlan() {
  const { dispatch, send } = useDesk();
  const draft = useConsole((state) => state.draft);
  const text = useConsole((state) => state.proposal?.text ?? '');
  const connected = useConsole((state) => state.connection === 'connected');
  const { purpose, symbols, seed } = draft;
  if (purpose === 'listen') return null;
  const put = () => {
    if (!send('add_step', { purpose, symbols, text })) return;
    dispatch({ type: 'drafted', change: { seed: seed + 1 } });
    dispatch({ type: 'composing', on: false });
  };
  return html`<button type="button" class="button put-in-plan" data-kind="bare" data-size="small" disabled=${text === '' || !isComplete(draft) || !connected} onClick=${put}>Put in the plan</button>`;
}
