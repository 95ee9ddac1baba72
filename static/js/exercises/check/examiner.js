/** The examiner's view of a check: where it stands, who sits it, each copy's marks, and the printed sheet. */
import { html, render, useState } from '../../../vendor/preact.js';
import { clockFace, secondsLeft } from '../../core/moment.js';
import { submitted } from '../../view/parts/fields.js';
import { useTicking } from '../../view/parts/use_store.js';
import { Answers, Marked, Ways } from './marked.js';
import { rowsOf, ruleOf, spokenRow } from './words.js';

/** @import { CheckCandidate, CheckForConsole } from '../../wire.js' */
/** @import { Given } from '../../view/parts/exercise.js' */
/** @import { Send } from '../../core/messages.js' */

const STAGES = Object.freeze({ 'warming up': 'Warm-up', ready: 'Ready', sounding: 'The text sounds', tidying: 'Tidying up', over: 'Marking' });

/** @param {Given & { shown: CheckForConsole }} props */
export function Examiner({ shown, run, roomMs, send }) {
  const now = useTicking(roomMs, 250);
  const [chosen, setChosen] = useState(0);
  if (send === undefined) return null;
  const left = now < shown.begins_room_ms ? `begins in ${secondsLeft(shown.begins_room_ms - now)} s` : `${clockFace(shown.ends_room_ms - now)} left`;
  const sounds = shown.stage === 'sounding' || shown.stage === 'warming up';
  const isUnder = shown.stage === 'ready' || (shown.stage === 'warming up' && now >= shown.ends_room_ms);
  const at = shown.candidates.find(({ seat }) => seat === chosen) ?? shown.candidates.find(({ result }) => result !== null);
  return html`<div class="check-console">
    <p><strong>${STAGES[shown.stage]}</strong>${sounds ? `, ${left}` : ''} <span class="soft">${shown.form.source}${shown.form.edited ? ', edited here' : ''}</span></p>
    ${shown.pace !== '' && html`<p class="soft">${shown.pace}</p>`}
    ${isUnder && html`<p><button type="button" class="button" data-kind="primary" onClick=${() => send('begin_check', { push: run })}>Begin the text</button>
      ${' '}<span class="soft">Everybody ready? Pitch and volume right? The text is fresh, and sounds once.</span></p>`}
    ${shown.missed > 0 && html`<p class="objection" role="alert">${shown.missed} sounds of the text did not go out in time. Do not let this one count: take a fresh text.</p>`}
    <${Candidates} shown=${shown} chosen=${at?.seat ?? 0} choose=${setChosen} run=${run} send=${send} />
    ${at?.result && html`<${Copy} key=${at.seat} one=${at} shown=${shown} run=${run} send=${send} />`}
  </div>`;
}

/** @param {{ shown: CheckForConsole, chosen: number, choose: (seat: number) => void, run: number, send: Send }} props */
function Candidates({ shown, chosen, choose, run, send }) {
  const stateOf = (/** @type {CheckCandidate} */ one) => (one.result ? (one.result.meets ? 'meets the form' : 'does not meet it') : one.handed_in ? 'handed in' : one.on_paper ? 'on paper' : `${one.written} written`);
  return html`<ul role="list" class="check-candidates">${shown.candidates.map((one) => html`<li key=${one.seat}>
    <button type="button" class="button" data-size="small" disabled=${one.result === null} aria-pressed=${one.seat === chosen ? 'true' : 'false'} onClick=${() => choose(one.seat)}>${one.name}</button>
    <span>${stateOf(one)}${one.arranged.by === 'sound' ? '' : `, by ${one.arranged.by}`}${one.arranged.pitch_hz > 0 ? `, ${one.arranged.pitch_hz} Hz` : ''}${one.arranged.more_tidy_s > 0 ? `, ${one.arranged.more_tidy_s} s more to tidy up` : ''}</span>
    ${one.on_paper && !one.handed_in && (shown.stage === 'tidying' || shown.stage === 'over') && html`<${Paper} one=${one} run=${run} send=${send} />`}</li>`)}</ul>`;
}

/** A sheet of paper, keyed in by the examiner. @param {{ one: CheckCandidate, run: number, send: Send }} props */
const Paper = ({ one, run, send }) => html`<form onSubmit=${submitted((field) => send('hand_in_check', { push: run, seat: one.seat, copy: field('copy'), answers: [] }))}>
  <label>Key in ${one.name}’s sheet <textarea class="input" name="copy" data-for="signs" rows="3" maxlength="3000"></textarea></label>
  <button type="submit" class="button" data-size="small">Hand in</button></form>`;

/** @param {{ one: CheckCandidate, shown: CheckForConsole, run: number, send: Send }} props */
function Copy({ one, shown, run, send }) {
  const [at, setAt] = useState(-1);
  const [reason, setReason] = useState('');
  const result = one.result;
  if (result === null) return null;
  const row = rowsOf(result)[at];
  const decide = (/** @type {number} */ number, /** @type {boolean} */ right, /** @type {boolean} */ ofQuestion, undo = false) =>
    send('overrule_check', { push: run, seat: one.seat, number, right, reason: reason || 'as read back', of_question: ofQuestion, undo });
  return html`<section class="check-copy" aria-label=${`${one.name}’s copy`}>
    <h3>${one.name}: ${result.meets ? 'meets the form' : 'does not meet the form'}</h3>
    <${Ways} ways=${result.ways} />
    <${Marked} result=${result} chosen=${at} choose=${setAt} />
    <div class="check-decide"><label class="inline-field">Reason <input class="input" maxlength="60" value=${reason} placeholder="as read back"
        onInput=${(/** @type {{ currentTarget: HTMLInputElement }} */ { currentTarget }) => setReason(currentTarget.value)} /></label>
      ${row === undefined ? html`<span class="soft">Choose a symbol to decide otherwise of it.</span>` : html`<span>${spokenRow(row)}</span>
        ${row.reason === '' ? html`<button type="button" class="button" data-size="small" onClick=${() => decide(at, !row.right, false)}>${row.right ? 'Count it as an error' : 'Count it as right'}</button>`
          : html`<button type="button" class="button" data-size="small" onClick=${() => decide(at, row.right, false, true)}>Take that back</button>`}`}</div>
    ${one.answers.length > 0 && html`<${Answers} answers=${one.answers} overrule=${(/** @type {number} */ i, /** @type {boolean} */ right) => decide(i, right, true)} />`}
    <button type="button" class="button" data-size="small" onClick=${() => print(one, shown)}>Print this sheet</button>
  </section>`;
}

/** Print one sheet alone. @param {CheckCandidate} one @param {CheckForConsole} shown */
function print(one, shown) {
  const host = document.createElement('div');
  host.className = 'check-print';
  document.body.append(host);
  document.documentElement.dataset.printing = 'check';
  render(html`<${PrintedSheet} one=${one} shown=${shown} />`, host);
  window.addEventListener('afterprint', () => {
    delete document.documentElement.dataset.printing;
    render(null, host);
    host.remove();
  }, { once: true });
  window.print();
}

/** The rule, what was sent and copied, the result, a line to sign. It grants nothing. @param {{ one: CheckCandidate, shown: CheckForConsole }} props */
function PrintedSheet({ one, shown: { form, wpm, text, day } }) {
  const result = one.result;
  if (result === null) return null;
  const overruled = rowsOf(result).filter(({ reason }) => reason !== '');
  return html`<article>
    <h1>Copy check: ${form.title}</h1>
    <p>${form.source}${form.edited ? ' (edited by the examiner)' : ''}. ${new Date(day * 86_400_000).toISOString().slice(0, 10)}. Candidate: <strong>${one.name}</strong></p>
    <ul>${ruleOf(form, wpm).map((line) => html`<li key=${line}>${line}</li>`)}<li>${one.pace}</li></ul>
    <h2>Sent</h2><p class="check-text">${text}</p>
    <h2>Copied</h2><p class="check-text">${one.copy}</p>
    <h2>Marked: sent above, written below</h2><${Marked} result=${result} />
    ${one.answers.length > 0 && html`<${Answers} answers=${one.answers} />`}
    <h2>Result: the copy ${result.meets ? 'meets' : 'does not meet'} the form</h2><${Ways} ways=${result.ways} />
    ${overruled.length > 0 && html`<h2>Decided by the examiner</h2><ul>${overruled.map((row) => html`<li key=${row.number}>${spokenRow(row)}</li>`)}</ul>`}
    <p class="check-sign"><span>Examiner</span><span>Date</span></p>
    <p>A record of what was copied, held against the rule above. It is no licence, certificate or badge; these are for the body that grants them.</p>
  </article>`;
}
