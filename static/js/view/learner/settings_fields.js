/** Single settings, as the sound check and the settings sheet show them. */
import { html, useId } from '../../../vendor/preact.js';
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
 * @param {any} [props.help]
 */
export function Slider({ label, value, min, max, step, words, onInput, help }) {
  const id = useId();
  return html`
    <div class="field">
      <p class="slider-head"><label for=${id}>${label}</label><output class="soft" for=${id}>${words}</output></p>
      <input id=${id} class="slider" type="range" min=${min} max=${max} step=${step} value=${value} aria-valuetext=${words}
        onInput=${(/** @type {any} */ event) => onInput(Number(event.target.value))} />
      ${help && html`<p class="help">${help}</p>`}
    </div>`;
}

/** @param {{ label: string, on: boolean, onChange: (on: boolean) => void, help?: any }} props */
export function Switch({ label, on, onChange, help }) {
  const id = useId();
  return html`
    <div class="field">
      <label class="switch"><input type="checkbox" checked=${on} aria-describedby=${help ? id : undefined}
        onChange=${(/** @type {any} */ event) => onChange(event.target.checked)} />${label}</label>
      ${help && html`<p class="help" id=${id}>${help}</p>`}
    </div>`;
}

/**
 * @param {object} props
 * @param {string} props.legend
 * @param {readonly [value: string, words: string][]} props.choices
 * @param {string} props.value
 * @param {(value: any) => void} props.onChange
 */
export function Choice({ legend, choices, value, onChange }) {
  const name = useId();
  return html`
    <fieldset class="field">
      <legend class="label">${legend}</legend>
      <div class="choice">
        ${choices.map(([one, words]) => html`<label key=${one}><input type="radio" name=${name} value=${one}
          checked=${value === one} onChange=${() => onChange(one)} />${words}</label>`)}
      </div>
    </fieldset>`;
}

export function Volume() {
  const { actions } = usePage();
  const volume = useSettings((settings) => settings.volume);
  return html`<${Slider} label="Volume" value=${volume} min=${0} max=${1} step=${0.02}
    words=${volume === 0 ? 'off' : `${Math.round(volume * 100)} %`}
    onInput=${(/** @type {number} */ value) => actions.set({ volume: value })} />`;
}
