/** The keys of the symbols in play, and one wide blank. A press counts from the touch, not from the release. */
import { html } from '../../../vendor/preact.js';
import { Sign, spoken } from '../parts/sign.js';

/**
 * @param {object} props
 * @param {string} props.symbols
 * @param {(sign: string, pageMs: number) => void} props.onPress
 */
export function Keys({ symbols, onPress }) {
  const signs = [...symbols];
  const size = signs.length <= 10 ? 'few' : signs.length <= 24 ? 'some' : 'many';
  return html`
    <div class="keys" data-count=${size} data-sheet role="group" aria-label="Symbols">
      ${signs.map((sign) => html`<${Key} key=${sign} sign=${sign} onPress=${onPress} />`)}
      <${Key} sign="_" onPress=${onPress} />
    </div>`;
}

/** @param {{ sign: string, onPress: (sign: string, pageMs: number) => void }} props */
function Key({ sign, onPress }) {
  const down = (/** @type {PointerEvent} */ event) => {
    if (event.button !== 0) return;
    event.preventDefault(); // the focus stays where it is
    onPress(sign, event.timeStamp);
  };
  /** Without a pointer: the Enter key, a screen reader, a switch. @param {MouseEvent} event */
  const click = (event) => {
    if (event.detail === 0) onPress(sign, event.timeStamp);
  };
  return html`
    <button type="button" class="key" data-blank=${sign === '_'} aria-label=${spoken(sign)}
      onPointerDown=${down} onClick=${click}>
      ${sign === '_' ? html`blank <kbd class="kbd" aria-hidden="true">space</kbd>` : html`<${Sign} sign=${sign} also />`}
    </button>`;
}
