/** One of a few, as radio buttons in a row. */
import { html, useId } from '../../../vendor/preact.js';

/**
 * @template {string} Value
 * @param {{ label: string, value: Value, options: readonly (readonly [Value, string])[],
 *           onChoose: (value: Value) => void, size?: string, shown?: boolean }} props  shown: its label can be seen
 */
export function Choice({ label, value, options, onChoose, size = 'small', shown = false }) {
  const name = useId();
  return html`<fieldset class="field">
    <legend class=${shown ? 'label' : 'unseen'}>${label}</legend>
    <div class="choice" data-size=${size}>
      ${options.map(([option, words]) => html`<label key=${option}>
        <input type="radio" name=${name} value=${option} checked=${option === value} onChange=${() => onChoose(option)} />
        ${words}
      </label>`)}
    </div>
  </fieldset>`;
}
