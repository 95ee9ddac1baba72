/** Setting a check up: the form, as published or edited, its speed, and what is arranged for whom. */
import { html, useEffect } from '../../../vendor/preact.js';
import { orderAsText, readOrder } from '../../core/course.js';
import { useConsole } from '../../view/console/desk.js';
import { numbered, ticked, typed } from '../../view/parts/fields.js';
import { OFFERS } from '../check_offers.js';
import { ruleOf } from './words.js';

/** @import { CheckFor, CheckForm, CheckPassing, CheckSetup, SeatOut } from '../../wire.js' */
/** @import { Setup } from '../../view/parts/exercise.js' */

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function Chosen({ setup, change }) {
  const seats = useConsole((state) => state.seats).filter(({ inside }) => inside);
  useEffect(() => {
    if (setup === null) change({ form: OFFERS[0], wpm: OFFERS[0].speeds_wpm[0], candidates: [], arranged: [] });
  }, []);
  if (setup === null) return null;
  const { form, wpm, candidates, arranged } = /** @type {CheckSetup} */ (/** @type {unknown} */ (setup));
  const take = (/** @type {string} */ key) => {
    const found = OFFERS.find((offer) => offer.key === key) ?? OFFERS[0];
    change({ ...setup, form: found, wpm: found.speeds_wpm[0] });
  };
  const edit = (/** @type {Partial<CheckForm>} */ part) => change({ ...setup, form: { ...form, ...part, edited: true } });
  return html`<div class="check-setup">
    <label class="field"><span class="label">The form</span> <select class="input" value=${form.key} onChange=${typed(take)}>
      ${OFFERS.map((offer) => html`<option key=${offer.key} value=${offer.key}>${offer.title} (${offer.source})</option>`)}</select></label>
    <div class="compose-line"><label class="inline-field">at <select class="input" value=${wpm} onChange=${numbered((speed) => change({ ...setup, wpm: speed }))}>
      ${form.speeds_wpm.map((speed) => html`<option key=${speed} value=${speed}>${speed} wpm</option>`)}</select></label></div>
    <ul class="quiet-list help">${ruleOf(form, wpm).map((line) => html`<li key=${line}>${line}</li>`)}</ul>
    ${form.note !== '' && html`<p class="help">${form.note}</p>`}
    <p class="help">Rules change: hold this against the body's own wording. It is no licence, certificate or badge.</p>
    <details><summary>Edit the form${form.edited ? ' (edited)' : ''}</summary><${Edited} form=${form} edit=${edit} /></details>
    <details><summary>Who sits it, and what is arranged for whom</summary><${Arranged} seats=${seats} candidates=${candidates} arranged=${arranged} put=${(/** @type {Partial<CheckSetup>} */ part) => change({ ...setup, ...part })} /></details>
  </div>`;
}

/** @param {{ words: string, value: number, put: (value: number) => void, min?: number, max: number, step?: number }} props */
const NumberIn = ({ words, value, put, min = 0, max, step = 1 }) => html`<label class="inline-field">${words}
  <input class="input" type="number" min=${min} max=${max} step=${step} value=${value} onInput=${numbered(put)} /></label>`;

/** @param {{ form: CheckForm, edit: (part: Partial<CheckForm>) => void }} props */
function Edited({ form, edit }) {
  const way = (/** @type {number} */ i, /** @type {Partial<CheckPassing>} */ part) => edit({ passes: form.passes.map((one, at) => (at === i ? { ...one, ...part } : one)) });
  return html`<div class="check-edit">
    <label class="field"><span class="label">Title</span><input class="input" maxlength="80" value=${form.title} onInput=${typed((title) => edit({ title }))} /></label>
    <label class="field"><span class="label">Source and year</span><input class="input" maxlength="120" value=${form.source} onInput=${typed((source) => edit({ source }))} /></label>
    <${NumberIn} words="minutes" value=${form.minutes} min=${0.2} max=${10} step=${0.1} put=${(/** @type {number} */ minutes) => edit({ minutes })} />
    <${NumberIn} words="counted characters (0: as the speed gives)" value=${form.counted} max=${1500} put=${(/** @type {number} */ counted) => edit({ counted })} />
    <${NumberIn} words="a figure counts" value=${form.figure} max=${5} put=${(/** @type {number} */ figure) => edit({ figure })} />
    <${NumberIn} words="a punctuation mark" value=${form.punctuation} max=${5} put=${(/** @type {number} */ punctuation) => edit({ punctuation })} />
    <${NumberIn} words="a signal" value=${form.signal} max=${5} put=${(/** @type {number} */ signal) => edit({ signal })} />
    <${NumberIn} words="characters no slower than wpm" value=${form.character_wpm} max=${50} put=${(/** @type {number} */ wpm) => edit({ character_wpm: wpm })} />
    <${NumberIn} words="s of warm-up" value=${form.warm_up_s} max=${600} put=${(/** @type {number} */ s) => edit({ warm_up_s: s })} />
    <${NumberIn} words="s to tidy up" value=${form.tidy_s} max=${600} put=${(/** @type {number} */ s) => edit({ tidy_s: s })} />
    ${form.passes.map((one, i) => html`<${NumberIn} key=${one.kind} words=${AMOUNTS[one.kind]} value=${one.amount} max=${500} step=${one.kind === 'share' || one.kind === 'unbroken' ? 0.05 : 1}
      put=${(/** @type {number} */ amount) => way(i, { amount })} />`)}
    <label class="field"><span class="label">Symbols that must occur</span><input class="input" data-for="signs" maxlength="200" value=${orderAsText(form.required)}
      onChange=${typed((required) => edit({ required: readOrder(required).signs }))} /></label>
    <label class="inline-field"><input type="checkbox" checked=${form.forgives_extra} onChange=${ticked((forgives) => edit({ forgives_extra: forgives }))} /> what is written beside the text is no error</label>
  </div>`;
}

const AMOUNTS = Object.freeze({ errors: 'errors allowed', unbroken: 'minutes without an error', questions: 'questions right', share: 'share right', words: 'words right' });
const WAYS = /** @type {const} */ (['sound', 'lamp', 'vibration']);

/** @param {{ seats: readonly SeatOut[], candidates: readonly number[], arranged: readonly CheckFor[], put: (part: Partial<CheckSetup>) => void }} props */
function Arranged({ seats, candidates, arranged, put }) {
  const sits = (/** @type {number} */ seat) => candidates.length === 0 || candidates.includes(seat);
  const seat = (/** @type {number} */ number, /** @type {boolean} */ on) => put({ candidates: seats.map((one) => one.seat).filter((one) => (one === number ? on : sits(one))) });
  const arrange = (/** @type {number} */ number, /** @type {Partial<CheckFor>} */ part) => {
    const was = arranged.find((one) => one.seat === number) ?? { seat: number, pitch_hz: 0, character_wpm: 0, by: /** @type {const} */ ('sound'), more_tidy_s: 0 };
    put({ arranged: [...arranged.filter((one) => one.seat !== number), { ...was, ...part }] });
  };
  return html`<p class="help">Own pitch and character speed change the sound, not how long it lasts (0: as for all). A lamp or vibration in place of sound needs keying at 7.2 wpm or slower, so that it
      flashes no more than three times a second; ask first whether flashing light troubles anybody near it.</p>
    <ul role="list" class="check-arranged">${seats.map(({ seat: number, name }) => {
      const own = arranged.find((one) => one.seat === number);
      return html`<li key=${number}><label class="inline-field"><input type="checkbox" checked=${sits(number)} onChange=${ticked((on) => seat(number, on))} /> ${name}</label>
        <label class="inline-field">by <select class="input" aria-label=${`How ${name} gets it`} value=${own?.by ?? 'sound'} onChange=${typed((by) => arrange(number, { by: /** @type {CheckFor['by']} */ (by) }))}>
          ${WAYS.map((by) => html`<option key=${by} value=${by}>${by}</option>`)}</select></label>
        <${NumberIn} words="Hz" value=${own?.pitch_hz ?? 0} max=${1000} step=${10} put=${(/** @type {number} */ hz) => arrange(number, { pitch_hz: hz })} />
        <${NumberIn} words="wpm characters" value=${own?.character_wpm ?? 0} max=${50} put=${(/** @type {number} */ wpm) => arrange(number, { character_wpm: wpm })} />
        <${NumberIn} words="s more to tidy up" value=${own?.more_tidy_s ?? 0} max=${600} step=${10} put=${(/** @type {number} */ s) => arrange(number, { more_tidy_s: s })} /></li>`;
    })}</ul>`;
}
