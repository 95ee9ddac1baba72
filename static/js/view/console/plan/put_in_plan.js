/** What is composed goes into the plan as its next step instead of to the class at once. */
import { html } from '../../../../vendor/preact.js';
import { PURPOSES, isComplete } from '../../../core/console_state.js';
import { useConsole, useDesk } from '../desk.js';
import { plainly } from '../signs.js';

/** @typedef {import('../../../core/console_state.js').Draft} Draft */

export function PutInPlan() {
  const { dispatch, send } = useDesk();
  const draft = useConsole((state) => state.draft);
  const text = useConsole((state) => state.proposal?.text ?? '');
  const connected = useConsole((state) => state.connection === 'connected');
  if (draft.purpose === 'listen') return null;
  const put = () => {
    const kind = draft.purpose === 'meet' ? 'introduce' : 'mix';
    if (!send('add_step', { kind, title: titleOf(draft), text })) return;
    dispatch({ type: 'drafted', change: { seed: draft.seed + 1 } });
    dispatch({ type: 'composing', on: false });
  };
  return html`<button type="button" class="button put-in-plan" data-kind="bare" data-size="small" disabled=${text === '' || !isComplete(draft) || !connected} onClick=${put}>Put in the plan</button>`;
}

/** @param {Draft} draft */
function titleOf({ purpose, symbols }) {
  const named = [...symbols].map(plainly);
  if (purpose === 'meet') return `Meet ${named[0] ?? ''}`;
  if (purpose === 'apart' && named.length < 6) return `${named.join(', ')} apart`;
  return PURPOSES[purpose].name;
}
