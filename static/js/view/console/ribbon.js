/**
 * The ribbon of sounds passing: over each one a bar, how much of the class wrote something for it, the lower part the
 * right thing. What sounds now stands in the lamp's light; the strip keeps it in sight.
 */
import { html, useLayoutEffect, useRef } from '../../../vendor/preact.js';
import { begunAt } from '../../core/moment.js';
import { useTicking } from '../parts/use_store.js';
import { useConsole, useDesk } from './desk.js';
import { Sign } from '../parts/sign.js';
import { plainly } from './signs.js';

/** @import { ProgressOut } from '../../wire.js' */
/** @import { RunDetail } from '../../core/moment.js' */

/** @param {{ run: RunDetail, phase: string, told?: ProgressOut | null }} props  told: of a run within the one at hand */
export function Ribbon({ run, phase, told }) {
  const { roomMs } = useDesk();
  const begun = useTicking(() => begunAt(run, roomMs()), 50);
  const ofHand = useConsole((state) => state.progress);
  const progress = told ?? ofHand;
  const strip = useRef(/** @type {HTMLElement | null} */ (null));
  const own = progress?.push === run.push ? progress : null;
  const copying = own === null ? 0 : own.copies.filter((copy) => copy.written > 0 || copy.way === 'typing').length;
  useLayoutEffect(() => keepInSight(strip.current, begun), [begun]);
  return html`<div class="ribbon" ref=${strip} tabindex="0" role="img" aria-label=${labelOf(run, begun, phase)}>
    ${groupsOf(run.text).map((group) => html`<span class="ribbon-group" key=${group.first}>
      ${group.signs.map((sign, k) => html`<${Sound} key=${k} sign=${sign} index=${group.first + k}
        state=${stateOf(group.first + k, begun, run, phase)}
        answered=${copying === 0 ? 0 : (own?.answered[group.first + k] ?? 0) / copying}
        right=${copying === 0 ? 0 : (own?.right[group.first + k] ?? 0) / copying}
        words=${wordsOf(own, group.first + k, copying)} />`)}
    </span>`)}
  </div>`;
}

/** @param {{ sign: string, index: number, state: string, answered: number, right: number, words: string }} props */
function Sound({ sign, index, state, answered, right, words }) {
  return html`<span class="sound" data-index=${index} data-state=${state} title=${words}>
    <span class="bar" style=${{ '--answered': answered, '--right': right }}></span>
    <${Sign} sign=${sign} />
  </span>`;
}

/** @param {ProgressOut | null} own @param {number} index @param {number} copying */
function wordsOf(own, index, copying) {
  const answered = own?.answered[index] ?? 0;
  return answered === 0 ? '' : `${answered} of ${copying} wrote something, ${own?.right[index] ?? 0} the right sound`;
}

/** @param {number} index @param {number} begun @param {RunDetail} run @param {string} phase */
function stateOf(index, begun, run, phase) {
  if (index >= run.sent) return 'unsent';
  if (phase === 'counting in') return 'ahead';
  if (phase === 'sounding' && index === begun - 1) return 'now';
  return index < begun || (phase !== 'sounding' && phase !== 'paused') ? 'sent' : 'ahead';
}

/** @param {string} text */
function groupsOf(text) {
  let first = 0;
  return text.split(' ').map((group) => {
    const signs = [...group];
    const made = { first, signs };
    first += signs.length;
    return made;
  });
}

/** @param {RunDetail} run @param {number} begun @param {string} phase */
function labelOf(run, begun, phase) {
  const text = [...run.text].map(plainly).join('');
  return phase === 'sounding' || phase === 'paused' ? `${begun} of ${run.sent} sent. ${text}` : `Text: ${text}`;
}

/** @param {HTMLElement | null} strip @param {number} begun */
function keepInSight(strip, begun) {
  const sound = /** @type {HTMLElement | null} */ (strip?.querySelector(`[data-index="${Math.max(0, begun - 1)}"]`));
  if (strip === null || !sound) return;
  const at = sound.offsetLeft - strip.offsetLeft;
  const margin = strip.clientWidth / 5;
  if (at < strip.scrollLeft + margin || at > strip.scrollLeft + strip.clientWidth - margin) {
    strip.scrollLeft = at - margin;
  }
}
