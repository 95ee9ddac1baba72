/** What could come next after a run: one proposal with its evidence, the others beside it. One card, put away at will. */
import { html } from '../../../../vendor/preact.js';
import { isSentAtOnce, wordsFor } from '../../../core/plan.js';
import { EXERCISES } from '../../../wire.js';
import { useConsole, useDesk } from '../desk.js';
import { SignList, plainly } from '../signs.js';
import { useAdvice } from './teaching.js';

/** @import { AdviceOut, ChoiceOut } from '../../../wire.js' */

export function AdviceCard() {
  const advice = useAdvice();
  return advice === null ? null : html`<${Card} key=${advice.push} advice=${advice} />`;
}

/** @param {{ advice: AdviceOut }} props */
function Card({ advice }) {
  const { dispatch, send } = useDesk();
  const connected = useConsole((state) => state.connection === 'connected');
  const composing = useConsole((state) => state.composing); // then the page's main button is the composer's
  const [proposed, ...others] = advice.choices;
  const putAway = () => dispatch({ type: 'teaching', change: { advicePutAway: advice.push } });
  const take = (/** @type {number} */ choice) => {
    if (send('take_choice', { push: advice.push, choice, send: isSentAtOnce(advice.choices[choice]) })) putAway();
  };
  return html`<section class="sheet advice" aria-labelledby="advice-title">
    <h2 id="advice-title" class="unseen">Advice</h2>
    <p class="advice-sentence">${proposed.sentence}</p>
    <div class="advice-ways">
      <button type="button" class="button" data-kind=${composing ? undefined : 'primary'}
        data-action=${composing ? undefined : 'primary'} data-sends=${sendsMark(proposed)} disabled=${!connected}
        onClick=${() => take(0)}>${wordsFor(proposed, plainly)}</button>
      ${others.map((choice, i) => html`<button type="button" class="button" key=${choice.action} data-sends=${sendsMark(choice)} disabled=${!connected}
        title=${choice.sentence} onClick=${() => take(i + 1)}>${wordsFor(choice, plainly)}</button>`)}
      <button type="button" class="button" data-kind="bare" data-size="small" onClick=${putAway}>Not now</button>
    </div>
    <${Together} advice=${advice} onBegun=${putAway} />
    <${Why} advice=${advice} />
  </section>`;
}

/** A group exercise that would help as well; quiet, beside the advice. @param {{ advice: AdviceOut, onBegun: () => void }} props */
function Together({ advice: { together, push }, onBegun }) {
  const { send } = useDesk();
  const connected = useConsole((state) => state.connection === 'connected');
  if (together.length === 0) return null;
  return html`<div class="advice-ways"><span class="soft">Or together:</span>
    ${together.map(({ kind, setup }) => html`<button type="button" class="button" data-size="small" data-sends="" key=${kind} disabled=${!connected}
      title=${EXERCISES[kind]?.hint} onClick=${() => send('start_exercise', { kind, setup, after: push }) && onBegun()}>${EXERCISES[kind]?.title}</button>`)}
  </div>`;
}

/** @param {ChoiceOut} choice */
const sendsMark = (choice) => (isSentAtOnce(choice) ? '' : undefined);

/** What is worth knowing and nothing to do about at this moment. @param {{ advice: AdviceOut }} props */
function Why({ advice: { choices, lacking, slow } }) {
  const reasons = choices[0].reasons;
  const summary = [
    lacking.length > 0 && `${lacking.length} ${lacking.length === 1 ? 'learner lacks' : 'learners lack'} something`,
    slow.length > 0 && `${slow.length} ${slow.length === 1 ? 'sound comes' : 'sounds come'} slowly`,
  ].filter(Boolean).join(', ');
  if (reasons.length < 2 && summary === '') return null;
  return html`<details class="advice-more">
    <summary>${summary === '' ? 'Why' : `Why; ${summary}`}</summary>
    <ul class="quiet-list">
      ${reasons.slice(1).map((reason) => html`<li key=${reason}>${reason}</li>`)}
      ${slow.map(({ sign, median_s: own, usual_s: usual }) => html`<li key=${`slow ${sign}`}>
        <${SignList} signs=${sign} /> comes slowly this evening: written ${own.toFixed(1)} s after its sound, others after ${usual.toFixed(1)} s.</li>`)}
      ${lacking.map(({ name, missed_days: missed, never_heard: never }) => html`<li key=${`lacks ${name}`}>
        <strong>${name}</strong>, over the course${missed.length > 0 && `, away at ${missed.length} ${missed.length === 1 ? 'meeting' : 'meetings'}`}${
          never !== '' && html`, has not heard <${SignList} signs=${never} />`}</li>`)}
    </ul>
  </details>`;
}
