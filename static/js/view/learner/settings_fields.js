/** Single settings, as the sound check and the settings sheet show them. */
import { html, useId } from '../../../vendor/preact.js';
import { numbered, ticked } from '../parts/fields.js';
import { usePage, useSettings } from './context.js';

/**
 * @param {object} props
 * @param {string} props.label
 * @param {number} props.value
 * @param {number} props.min
 * @param {number} props.max
 * @param {number} props.step
 * @param {string} props.words  the value as it is said
 * @param {(value: number) => void} props.onInput
 * @param {import('../../../vendor/preact/preact.js').ComponentChildren} [props.help]
 */
export function Slider({ label, value, min, max, step, words, onInput, help }) {
  const id = useId();
  return html`
    <div class="field">
      <p class="slider-head"><label for=${id}>${label}</label><output class="soft" for=${id}>${words}</output></p>
      <input id=${id} class="slider" type="range" min=${min} max=${max} step=${step} value=${value} aria-valuetext=${words}
        onInput=${numbered(onInput)} />
      ${help && html`<p class="help">${help}</p>`}
    </div>`;
}

/** @param {{ label: string, on: boolean, onChange: (on: boolean) => void, help?: import('../../../vendor/preact/preact.js').ComponentChildren }} props */
export function Switch({ label, on, onChange, help }) {
  const id = useId();
  return html`
    <div class="field">
      <label class="switch"><input type="checkbox" checked=${on} aria-describedby=${help ? id : undefined}
        onChange=${ticked(onChange)} />${label}</label>
      ${help && html`<p class="help" id=${id}>${help}</p>`}
    </div>`;
}

export function Volume() {
  const { actions } = usePage();
  const volume = useSettings((settings) => settings.volume);
  return html`<${Slider} label="Volume" value=${volume} min=${0} max=${1} step=${0.02}
    words=${volume === 0 ? 'off' : `${Math.round(volume * 100)} %`}
    onInput=${(/** @type {number} */ value) => actions.set({ volume: value })} />`;
}
