/** What is composed goes into the plan as its next step instead of to the class at once. */
import { html } from '../../../../vendor/preact.js';
import { PURPOSES } from '../../../core/console_state.js';
import { useDesk } from '../desk.js';
import { plainly } from '../signs.js';

/** @typedef {import('../../../core/console_state.js').Draft} Draft */

/** @param {{ draft: Draft, text: string, disabled: boolean }} props */
export function PutInPlan({ draft, text, disabled }) {
  const { dispatch, send } = useDesk();
  const put = () => {
    const kind = draft.purpose === 'meet' ? 'introduce' : 'mix';
    if (!send('add_step', { kind, title: titleOf(draft), text })) return;
    dispatch({ type: 'drafted', change: { seed: draft.seed + 1 } });
    dispatch({ type: 'composing', on: false });
  };
  return html`<button type="button" class="button" disabled=${disabled} onClick=${put}>Put in the plan</button>`;
}

/** @param {Draft} draft */
function titleOf({ purpose, symbols }) {
  const named = [...symbols].map(plainly);
  if (purpose === 'meet') return `Meet ${named[0] ?? ''}`;
  if (purpose === 'apart' && named.length < 6) return `${named.join(', ')} apart`;
  return PURPOSES[purpose].name;
}
