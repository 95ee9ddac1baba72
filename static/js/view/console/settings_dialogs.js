/** The class's settings: how it sounds, how it is heard, which sounds are known. */
import { html, useState } from '../../../vendor/preact.js';
import { inTableOrder } from '../../core/alphabet.js';
import { numbered, submitted, ticked } from '../parts/fields.js';
import { Dialog } from './dialog.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { Palette, toggled } from './palette.js';

const FIELDS = /** @type {const} */ ([
  ['wpm', 'Character speed', 'wpm', 5, 40, 1, 'How fast each sound is. Fast enough not to be counted: 15 and more.'],
  ['overall_wpm', 'Overall speed', 'wpm', 1, 40, 1, 'The pace with the gaps. Wide gaps at first, closing later.'],
  ['pitch_hz', 'Pitch', 'Hz', 300, 1000, 10, 'The class’s tone; learners may choose their own.'],
  ['lead_in_s', 'Lead-in', 's', 0, 30, 1, 'Quiet before the first sound, to get ready.'],
  ['tidy_s', 'Tidy-up time', 's', 0, 600, 5, 'After the sound, to fill in and correct.'],
]);

export function SoundDialog() {
  const sound = useConsole((state) => state.room?.sound);
  const { send } = useDesk();
  const [wanted, setWanted] = useState(sound);
  const open = useDialog();
  if (!wanted) return null;
  const keep = submitted(() => send('set_sound', wanted) && open(''));
  const tooFast = wanted.overall_wpm > wanted.wpm;
  return html`<${Dialog} title="Sound of the class">
    <form class="sound-form" onSubmit=${keep}>
      ${FIELDS.map(([key, label, unit, min, max, step, help]) => html`<div class="field" key=${key}>
        <label for=${key}>${label}, ${unit}</label>
        <input id=${key} class="input" type="number" required min=${min} max=${max} step="any" value=${wanted[key]}
          data-step=${step} aria-describedby=${`${key}-help`}
          onInput=${numbered((value) => setWanted({ ...wanted, [key]: value }))} />
        <p class="help" id=${`${key}-help`}>${help}</p>
      </div>`)}
      ${tooFast && html`<p class="objection" role="alert">The overall speed cannot be higher than the character speed.</p>`}
      <p class="help">Holds from the next run on.</p>
      <div class="actions">
        <button type="submit" class="button" data-kind="primary" disabled=${tooFast}>Set the sound</button>
      </div>
    </form>
    <${ListenIn} />
  <//>`;
}

/** This computer's own sound, for the instructor's ear. */
function ListenIn() {
  const { sound } = useDesk();
  const [{ listensIn, volume }, setStatus] = useState(sound.status());
  return html`<fieldset class="listen-in">
    <legend class="label">On this computer</legend>
    <label class="switch"><input type="checkbox" checked=${listensIn}
      onChange=${ticked((on) => sound.listenIn(on).then(() => setStatus(sound.status())))} />
      Listen in: sound the runs here, too</label>
    <div class="field"><label for="volume">Loudness here</label>
      <input id="volume" class="slider" type="range" min="0" max="1" step="0.05" value=${volume}
        onInput=${numbered((level) => { sound.setVolume(level); setStatus(sound.status()); })} />
      <p class="help">Start low, above all with headphones or a strong loudspeaker, and turn it up slowly.</p></div>
  </fieldset>`;
}

const WAYS = /** @type {const} */ ([
  ['every', 'Every browser sounds', 'In one room: all phones sound together, each quietly.'],
  ['loudspeaker', 'One loudspeaker', 'In one room: a single device sounds, the others stay silent.'],
  ['headphones', 'Headphones', 'In one room: everyone hears their own device.'],
  ['home', 'Everyone at home', 'Over a video call: each browser sounds, the call stays free of tones.'],
]);

/** @param {typeof WAYS[number][0]} hearing */
export const hearingName = (hearing) => WAYS.find(([way]) => way === hearing)?.[1] ?? '';

/** Asked once an evening, and there to be changed. @param {{ onChosen: () => void }} props */
export function HearingChoice({ onChosen }) {
  const { send, sound } = useDesk();
  const hearing = useConsole((state) => state.room?.hearing ?? 'every');
  const source = useConsole((state) => state.room?.source ?? 0);
  const seats = useConsole((state) => state.seats);
  const [way, setWay] = useState(hearing);
  const [from, setFrom] = useState(source);
  const keep = submitted(() => {
    if (way === 'loudspeaker' && from === 0) sound.unlock(); // this tap may start the sound here
    if (send('set_hearing', { way, source: way === 'loudspeaker' ? from : 0 })) onChosen();
  });
  return html`<form class="hearing" onSubmit=${keep}>
    <fieldset><legend class="unseen">How does the class hear tonight?</legend>
      ${WAYS.map(([value, name, help]) => html`<label class="switch hearing-way" key=${value}>
        <input type="radio" name="hearing" value=${value} checked=${way === value} onChange=${() => setWay(value)} />
        <span><strong>${name}</strong> <span class="help">${help}</span></span></label>`)}
    </fieldset>
    ${way === 'loudspeaker' && html`<div class="field"><label for="source">Which one</label>
      <select id="source" class="input" value=${from} onChange=${numbered(setFrom)}>
        <option value="0">This computer</option>
        ${seats.filter((seat) => seat.device).map((seat) => html`<option key=${seat.seat} value=${seat.seat}>The device of ${seat.name}</option>`)}
      </select></div>`}
    <p class="help">Whatever sounds: start low. Tones through headphones tire the ear sooner than one thinks.</p>
    <div class="actions"><button type="submit" class="button" data-kind="primary">That is how we hear</button></div>
  </form>`;
}

export function HearingDialog() {
  const open = useDialog();
  return html`<${Dialog} title="How does the class hear?"><${HearingChoice} onChosen=${() => open('')} /><//>`;
}

export function KnownDialog() {
  const told = useConsole((state) => state.room?.symbols ?? '');
  const [symbols, setSymbols] = useState(told); // the room answers a moment later than one presses
  const { send } = useDesk();
  const toggle = (/** @type {string} */ sign) => {
    const next = toggled(symbols, sign);
    setSymbols(next);
    send('set_symbols', { symbols: next });
  };
  return html`<${Dialog} title=${`Known so far: ${inTableOrder(symbols).length}`}>
    <p class="help">What the class has been introduced to. A run takes its sounds from here unless you choose others.</p>
    <${Palette} label="Known sounds" chosen=${symbols} onToggle=${toggle} />
    <${Additions} />
  <//>`;
}

/** Offered only to a class that asks for it. */
function Additions() {
  const on = useConsole((state) => state.room?.additions ?? false);
  const { send } = useDesk();
  return html`<div class="field">
    <label class="switch"><input type="checkbox" checked=${on} aria-describedby="additions-help"
      onChange=${ticked((wanted) => send('allow_additions', { on: wanted }))} />
      Offer national letters, and BK and SOS as one sound each</label>
    <p class="help" id="additions-help">Ä Å Ñ Ö Ü, BK and SOS are outside Recommendation ITU-R M.1677-1 (10/2009). SOS is for learning to
      hear it: never send it on the air without distress.</p>
  </div>`;
}
