/** A plan by one button: how many minutes, and go. */
import { html, useId, useState } from '../../../../vendor/preact.js';
import { submitted, typed } from '../../parts/fields.js';
import { useConsole, useDesk } from '../desk.js';

const SHORTEST_MIN = 5;
const LONGEST_MIN = 240;

/** @param {{ minutes: number, words: string, primary?: boolean, onDone?: () => void }} props */
export function PlanForm({ minutes, words, primary = false, onDone = () => {} }) {
  const { send } = useDesk();
  const connected = useConsole((state) => state.connection === 'connected');
  const [wanted, setWanted] = useState(String(Math.max(SHORTEST_MIN, Math.round(minutes))));
  const id = useId();
  const plan = submitted(() => send('plan_evening', { minutes: Number(wanted) }) && onDone());
  return html`<form class="plan-form" onSubmit=${plan}>
    <label class="inline-field" for=${id}>Minutes
      <input id=${id} class="input" type="number" inputmode="numeric" required min=${SHORTEST_MIN} max=${LONGEST_MIN} value=${wanted}
        onInput=${typed(setWanted)} /></label>
    <button type="submit" class="button" data-kind=${primary ? 'primary' : undefined}
      data-size=${primary ? undefined : 'small'} disabled=${!connected}>${words}</button>
  </form>`;
}

/** No plan yet: what the button gives, and for a first evening, how to begin. */
export function NoPlan() {
  const isFirst = useConsole((state) => !state.room?.meetings.some(({ runs }) => runs > 0));
  const known = useConsole((state) => state.room?.symbols ?? '');
  return html`<div class="no-plan">
    ${isFirst && known === ''
      ? html`<p>A first evening, ready to send: a few sounds by ear, practised, mixed, and a longer copy.</p>
        <p class="soft">Start quietly: turn each device down first, then up until everybody just hears it well.</p>`
      : html`<p class="soft">Steps made from what the class knows and where it is weak.</p>`}
    <${PlanForm} minutes=${45} words="Plan this evening" primary=${true} />
  </div>`;
}
