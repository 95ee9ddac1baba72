/** A ruled sheet with marks in groups of five; a caret where the next one goes. */
import { html, useLayoutEffect, useRef } from '../../../vendor/preact.js';
import { GROUP, grouped } from '../../core/copy.js';
import { Sign, spoken } from './sign.js';

/**
 * @param {object} props
 * @param {readonly { sign: string }[]} props.marks
 * @param {boolean} [props.cover]  earlier groups lie under a strip
 * @param {boolean} [props.caret]
 * @param {number | null} [props.place]  the chosen mark; null: the end
 * @param {boolean} [props.inserting]
 * @param {(place: number | null) => void} [props.onChoose]  marks can be chosen
 * @param {string} [props.label]
 */
export function Sheet({ marks, cover = false, caret = false, place = null, inserting = false, onChoose, label = 'Your copy' }) {
  const element = useRef(/** @type {HTMLElement | null} */ (null));
  useLayoutEffect(() => keepInView(element.current), [marks.length, place, cover]);
  const groups = grouped(marks);
  if (caret && marks.length % GROUP === 0) groups.push([]);
  const current = groups.length - 1;
  return html`
    <section class="sheet lines" ref=${element} role="group" aria-label=${label} data-sheet tabindex="-1">
      ${groups.map((group, g) => (cover && g < current
        ? html`<span class="marks" key=${g}><span class="covered hatched" role="img" aria-label="covered"></span></span>`
        : html`<span class="marks" key=${g}>
            ${group.map((mark, i) => html`<${Mark} key=${i} sign=${mark.sign} at=${g * GROUP + i}
              isPlace=${place === g * GROUP + i} inserting=${inserting} onChoose=${onChoose} />`)}
            ${caret && place === null && g === current && html`<span class="caret" data-caret></span>`}
          </span>`))}
    </section>`;
}

/** @param {{ sign: string, at: number, isPlace: boolean, inserting: boolean, onChoose?: (place: number | null) => void }} props */
function Mark({ sign, at, isPlace, inserting, onChoose }) {
  if (onChoose === undefined) {
    return html`<span class="mark"><${Sign} sign=${sign} />${sign === '_' && html`<span class="unseen">blank</span>`}</span>`;
  }
  const state = isPlace ? (inserting ? 'before' : 'chosen') : '';
  return html`
    <button type="button" class="mark" aria-pressed=${isPlace} aria-label=${`${spoken(sign)}, place ${at + 1}`}
      data-is=${state} data-caret=${isPlace || null} onClick=${() => onChoose(isPlace ? null : at)}>
      <${Sign} sign=${sign} />
    </button>`;
}

/** Scrolls the sheet alone, never the page. @param {HTMLElement | null} sheet */
function keepInView(sheet) {
  const at = sheet?.querySelector('[data-caret]');
  if (!sheet || !at) return;
  const [box, line] = [sheet.getBoundingClientRect(), at.getBoundingClientRect()];
  if (line.bottom > box.bottom - line.height / 2) sheet.scrollTop += line.bottom - box.bottom + line.height;
  else if (line.top < box.top) sheet.scrollTop += line.top - box.top - line.height / 2;
}
