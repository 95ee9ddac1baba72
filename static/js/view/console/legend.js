/** How to read the table, on screen and on paper. */
import { html } from '../../../vendor/preact.js';

export function Legend() {
  return html`<p class="legend">
    <span>Rows: what was sent.</span> <span>Columns: what was written.</span>
    <span><span class="swatch" data-kind="right" data-level="3"></span> heard right</span>
    <span><span class="swatch" data-kind="wrong" data-level="4"></span> written as another sound, the darker the more</span>
    <span><span class="swatch hatched" data-kind="gap"></span> blank: left empty on purpose; missed: nothing written</span>
    <span>outlined: more often than chance.</span>
    <span>extra: marks where nothing was sent.</span>
  </p>`;
}
