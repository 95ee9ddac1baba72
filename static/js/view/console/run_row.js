/** A run of the evening that was sent by hand. */
import { html } from '../../../vendor/preact.js';
import { composedAs } from '../../core/purposes.js';
import { percent } from '../../core/units.js';
import { Asides, SetAsideButton } from './aside.js';
import { useDesk } from './desk.js';
import { SignList } from './signs.js';

/** @import { RunSummary } from '../../wire.js' */

/** @param {{ run: RunSummary, isNow: boolean, phase: string }} props */
export function RunRow({ run, isNow, phase }) {
  const { dispatch } = useDesk();
  const again = () => {
    dispatch({ type: 'drafted', change: { purpose: composedAs(run.purpose), symbols: run.symbols, seed: run.push } });
    dispatch({ type: 'composing', on: true });
  };
  return html`<li class="run" data-now=${isNow ? '' : undefined} aria-current=${isNow ? 'step' : undefined}>
    <span class="mark" aria-hidden="true">${isNow
      ? html`<span class="dot" data-is=${phase === 'sounding' ? 'now' : ''}></span>` : '✓'}</span>
    <span class="what">
      <span class="name">${run.title}</span>
      <span class="soft">${describe(run)}</span>
    </span>
    <span class="share">${run.of > 0 && html`<span title=${`${run.right} of ${run.of} right`}>
      ${percent(run.right / run.of)} %</span>`}</span>
    ${!isNow && run.purpose !== 'listen' && html`<${SetAsideButton} push=${run.push} title=${run.title} brief />`}
    ${!isNow && html`<button type="button" class="button" data-kind="bare" data-size="small" onClick=${again}
      title="Compose one like it" aria-label=${`Compose one like run ${run.push}, ${run.title}`}>↻</button>`}
    <${Asides} push=${run.push} />
  </li>`;
}

/** @param {RunSummary} run */
function describe({ purpose, symbols, counted }) {
  if (purpose === 'listen') return 'not counted';
  if (purpose === 'together') return '';
  const many = symbols.length > 10;
  const what = many ? `${symbols.length} sounds` : html`<${SignList} signs=${symbols} />`;
  return html`${what}${counted ? '' : ', not counted'}`;
}
