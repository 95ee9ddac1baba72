/** Tools of the tidy-up time: to another mark, put one in before, take one out. */
import { html } from '../../../vendor/preact.js';
import { Icon } from '../parts/icons.js';
import { useLearner, usePage } from './context.js';

export function TidyTools() {
  const { actions } = usePage();
  const place = useLearner((state) => state.place);
  const count = useLearner((state) => state.marks.length);
  const inserting = useLearner((state) => state.inserting);
  const to = (/** @type {number} */ next) => actions.choosePlace(next >= count ? null : next);
  return html`
    <div class="tidy" role="group" aria-label="Tidy up">
      <button class="button" data-size="small" aria-label="Mark before" disabled=${count === 0 || place === 0}
        onClick=${() => to((place ?? count) - 1)}><${Icon} of="left" /></button>
      <button class="button" data-size="small" aria-label="Mark after" disabled=${place === null}
        onClick=${() => to((place ?? count) + 1)}><${Icon} of="right" /></button>
      <button class="button" data-size="small" aria-pressed=${inserting} disabled=${place === null}
        onClick=${() => actions.setInserting(!inserting)}><${Icon} of="insert" />Insert</button>
      <button class="button" data-size="small" disabled=${count === 0}
        onClick=${() => actions.erase()}><${Icon} of="erase" />Erase</button>
    </div>`;
}
