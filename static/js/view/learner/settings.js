/** What a learner may set on this device. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { canVibrate } from '../../shell/device.js';
import { Choice } from '../parts/choice.js';
import { Dialog } from '../parts/dialog.js';
import { useLearner, usePage, useSettings } from './context.js';
import { Slider, Switch, Volume } from './settings_fields.js';

/** @param {{ onClose: () => void }} props */
export function SettingsDialog({ onClose }) {
  const { actions } = usePage();
  const seated = useLearner((state) => state.seat !== null);
  const way = useLearner((state) => state.way);
  const theme = useSettings((settings) => settings.theme);
  const cover = useSettings((settings) => settings.cover);
  return html`
    <${Dialog} title="Settings" onClose=${onClose}>
      <${Volume} />
      ${seated && html`<${Choice} label="From the next run on, I write" value=${way} onChoose=${actions.chooseWay} shown size="normal"
        options=${[['typing', 'by typing'], ['paper', 'on paper']]} />`}
      <${Switch} label="Cover what I wrote while the sound runs" on=${cover}
        onChange=${(/** @type {boolean} */ on) => actions.set({ cover: on })}
        help="Looking back costs the next sound. You see it all in the tidy-up time." />
      <${Choice} label="Page" value=${theme} shown size="normal" onChoose=${(/** @type {typeof theme} */ next) => actions.set({ theme: next })}
        options=${[['auto', 'auto'], ['light', 'light'], ['dark', 'dark']]} />
      <${EasierToHear} />
      <${SlowOutput} />
      ${seated && html`<${Leave} />`}
    <//>`;
}

function EasierToHear() {
  const { actions } = usePage();
  const pitchHz = useSettings((settings) => settings.pitchHz);
  const noise = useSettings((settings) => settings.noise);
  const lamp = useSettings((settings) => settings.lamp);
  const vibrate = useSettings((settings) => settings.vibrate);
  const classHz = useLearner((state) => state.class?.pitch_hz ?? 600);
  return html`
    <details class="more">
      <summary>Easier to hear</summary>
      <div>
        <${Switch} label="My own pitch" on=${pitchHz !== null}
          onChange=${(/** @type {boolean} */ on) => actions.set({ pitchHz: on ? classHz : null })} />
        ${pitchHz !== null && html`<${Slider} label="Pitch" value=${pitchHz} min=${300} max=${1000} step=${10}
          words=${`${pitchHz} Hz`} onInput=${(/** @type {number} */ value) => actions.set({ pitchHz: value })}
          help="Many who hear high tones badly copy better at 350 to 500 Hz." />`}
        <${Slider} label="Soft noise under the tones" value=${noise} min=${0} max=${1} step=${0.05}
          words=${noise === 0 ? 'off' : `${Math.round(noise * 100)} %`}
          onInput=${(/** @type {number} */ value) => actions.set({ noise: value })} />
        <${Switch} label="A small lamp that lights with the tones" on=${lamp}
          onChange=${(/** @type {boolean} */ on) => actions.set({ lamp: on })}
          help=${html`<b>Flashing light:</b> at class speeds it flickers more than three times a second. Leave it off if
            flicker harms you or somebody near you.`} />
        ${canVibrate() && html`<${Switch} label="Vibrate with the tones" on=${vibrate}
          onChange=${(/** @type {boolean} */ on) => actions.set({ vibrate: on })} />`}
      </div>
    </details>`;
}

function SlowOutput() {
  const { actions } = usePage();
  const [beating, setBeating] = useState(false);
  const calibrationMs = useSettings((settings) => settings.calibrationMs);
  const silent = useSettings((settings) => settings.silent);
  const sounding = useLearner((state) => state.push !== null && !state.closed);
  useEffect(() => () => void (beating && actions.stopBeat()), [beating]);
  const toggle = () => {
    if (beating) actions.stopBeat();
    else actions.startBeat();
    setBeating(!beating);
  };
  return html`
    <details class="more">
      <summary>Late or doubled sound</summary>
      <div>
        <p class="help">Wireless headphones and loudspeakers sound late. Play the beat here and on another device of the
          class, and move this until both beats fall together. It is kept on this device.</p>
        <${Slider} label="This output is late by" value=${calibrationMs} min=${-100} max=${500} step=${5}
          words=${`${calibrationMs} ms`} onInput=${(/** @type {number} */ value) => actions.set({ calibrationMs: value })} />
        <button class="button" disabled=${sounding} aria-pressed=${beating} onClick=${toggle}>
          ${beating ? 'Stop the beat' : 'Play the beat'}</button>
        <${Switch} label="Keep this device silent" on=${silent}
          onChange=${(/** @type {boolean} */ on) => actions.set({ silent: on })}
          help="Others in the room sound for you; your copy counts as heard." />
      </div>
    </details>`;
}

function Leave() {
  const { actions } = usePage();
  const [sure, setSure] = useState(false);
  const name = useLearner((state) => state.seat?.name ?? '');
  const code = useLearner((state) => state.code);
  if (!sure) {
    return html`<div class="field"><p class="soft">${name} in room <span class="sign">${code}</span></p>
      <button class="button" onClick=${() => setSure(true)}>Leave this seat on this device</button></div>`;
  }
  return html`<div class="field">
    <p>This device forgets the seat. What you wrote stays with the class.</p>
    <div class="pair">
      <button class="button" data-kind="primary" onClick=${actions.leave}>Leave</button>
      <button class="button" onClick=${() => setSure(false)}>Stay</button>
    </div></div>`;
}
