/** A marked copy: each decision with its shape and word, the longest unbroken stretch underlined. */
import { html } from '../../../vendor/preact.js';
import { Sign } from '../../view/parts/sign.js';
import { rowsOf, spokenRow } from './words.js';

/** @import { CheckAnswer, CheckResult, CheckWay } from '../../wire.js' */

/** @param {{ ways: readonly CheckWay[] }} props */
export const Ways = ({ ways }) => html`<ul class="quiet-list">${ways.map(({ said, met }) => html`<li key=${said}><strong>${met ? 'Met' : 'Not met'}:</strong> ${said}</li>`)}</ul>`;

/**
 * Sent above, written below.
 * @param {{ result: CheckResult, chosen?: number, choose?: (number: number) => void }} props  choose: where decisions may be overruled
 */
export function Marked({ result, chosen = -1, choose }) {
  return html`<ol role="list" class="check-marked" aria-label="Each symbol: sent above, written below">
    ${rowsOf(result).map((row) => {
      const signs = html`<span aria-hidden="true">${row.sent === '' ? '·' : html`<${Sign} sign=${row.sent} />`}</span>
        <b aria-hidden="true">${row.written === '' || row.written === '_' ? '–' : html`<${Sign} sign=${row.written} />`}</b>
        <span class="unseen">${spokenRow(row)}</span>`;
      return html`<li key=${row.number} data-is=${row.right ? 'right' : 'error'} data-run=${row.inRun ? '' : undefined} data-overruled=${row.reason === '' ? undefined : ''}>
        ${choose ? html`<button type="button" title=${spokenRow(row)} aria-pressed=${row.number === chosen ? 'true' : 'false'} onClick=${() => choose(row.number)}>${signs}</button>` : signs}</li>`;
    })}</ol>
    <p class="soft">A box: an error. Underlined: the longest stretch without one. A corner: overruled by the examiner.</p>`;
}

/** @param {{ answers: readonly CheckAnswer[], overrule?: (number: number, right: boolean) => void }} props */
export const Answers = ({ answers, overrule }) => html`<table class="check-answers"><thead><tr><th scope="col">question</th><th scope="col">in the text</th><th scope="col">answered</th><th scope="col">counts as</th></tr></thead>
  <tbody>${answers.map((one, i) => html`<tr key=${one.question}><th scope="row">${one.question}</th><td>${one.expected}</td><td>${one.given || '–'}</td>
    <td>${one.right ? 'right' : 'wrong'}${one.overruled && ` (examiner: ${one.overruled})`}
      ${overrule && html` <button type="button" class="button" data-size="small" onClick=${() => overrule(i, !one.right)}>Decide otherwise</button>`}</td></tr>`)}</tbody></table>`;
