/** Whoever is at the key, in any exercise: what to send, a key as large as the page allows, and the way of the tones to the others. */
import { html, useEffect, useMemo, useRef, useState } from '../../../vendor/preact.js';
import { EVEN_WEIGHT, WEIGHTS } from '../../core/keyer.js';
import { tonesBefore, wordAt, wordsOf } from '../../core/keying.js';
import { clockFace } from '../../core/moment.js';
import { createKey } from '../../shell/key.js';
import { createSidetone } from '../../shell/sidetone.js';
import { onDevice } from '../../shell/storage.js';
import { useLearner, useSettings } from '../../view/learner/context.js';
import { Choice } from '../../view/parts/choice.js';
import { styled } from '../../view/parts/exercise.js';
import { numbered } from '../../view/parts/fields.js';
import { useTicking } from '../../view/parts/use_store.js';
import { OwnKey } from './own_key.js';
import { Pad } from './pad.js';
import { usePost } from './post.js';

/** @import { ComponentChildren } from '../../../vendor/preact/preact.js' */
/** @import { AtKeyOut } from '../../wire.js' */
/** @import { Send } from '../../core/messages.js' */
/** @import { KeyerSettings } from '../../shell/key.js' */
/** @typedef {KeyerSettings & { keys: 'one' | 'two' | 'own' }} Chosen */

styled('by_hand');

/** @type {Chosen} */
const FIRST = Object.freeze({ keys: 'one', wpm: 14, weight: EVEN_WEIGHT, way: 'ends' });
/** So much of a turn's time is told, and no more: nobody keys well against a clock. */
const TOLD_LEFT_MS = 30_000;

/**
 * @param {object} props
 * @param {AtKeyOut} props.at
 * @param {number} props.run
 * @param {Send} props.send
 * @param {() => number} props.roomMs
 * @param {string} props.order  the heading, while the key is on
 * @param {ComponentChildren} [props.instead]  in the place of the text
 * @param {boolean} [props.hasAgain]  a word can be sent again
 * @param {string} [props.heardBy]
 * @param {string} [props.done]  what ends it
 * @param {ComponentChildren} [props.foot]  another way out, beside it
 */
export function AtKey({ at, run, send, roomMs, order, instead, hasAgain = false, heardBy = 'all others hear', done = 'I have sent it all', foot }) {
  const [chosen, setChosen] = useState(() => /** @type {Chosen} */ ({ ...FIRST, ...onDevice.read('keyer') }));
  const [keyed, setKeyed] = useState(0);
  const [flood, setFlood] = useState(false);
  const post = usePost({ at, run, send, roomMs });
  const starts = useTicking(() => Math.max(0, Math.ceil((at.start_room_ms - roomMs()) / 1000)), 200);
  const left = useTicking(() => {
    const leftMs = (at.ends_room_ms ?? Infinity) - roomMs();
    return leftMs < TOLD_LEFT_MS ? clockFace(leftMs) : '';
  }, 500);
  const take = (/** @type {number} */ onMs, /** @type {number} */ offMs) => {
    setFlood(false);
    if (post.take(onMs, offMs)) setKeyed((count) => count + 1);
  };
  const tooQuick = () => setFlood(true);
  const key = useKey({ chosen, onTone: take, onFlood: tooQuick });
  const choose = (/** @type {Partial<Chosen>} */ part) => {
    const next = { ...chosen, ...part };
    onDevice.write('keyer', next);
    setChosen(next);
  };
  const words = useMemo(() => wordsOf(at.text), [at.text]);
  const place = wordAt(words, keyed + post.before);
  const again = () => {
    const word = Math.min(place, words.length - 1);
    const isBegun = keyed + post.before > tonesBefore(words, word);
    const sent = isBegun || word === 0 ? word : word - 1;
    if (words.length > 0 && send('word_again', { turn: at.turn, word: sent })) setKeyed(tonesBefore(words, sent + 1) - post.before);
  };
  const heading = at.paused ? 'Paused' : starts > 0 ? `Your turn in ${starts} s` : order;
  return html`<main class="key-page">
    <div class="key-head"><h1>${heading}</h1><p class="soft">By ear: listen to your own tone.${left !== '' && ` ${left} left.`}</p></div>
    ${instead ?? html`<${Text} words=${words} at=${place} />`}
    ${chosen.keys === 'own' ? html`<${OwnKey} onTone=${take} onFlood=${tooQuick} />`
      : html`<${Pad} sound=${key} two=${chosen.keys === 'two'} isOn=${starts === 0 && !at.paused} />`}
    <${Facts} at=${at} heardBy=${heardBy} delayMs=${key.delayMs} flood=${flood} isEarly=${starts > 0} />
    <${Choices} chosen=${chosen} choose=${choose} />
    <div class="key-foot">
      ${hasAgain && html`<button type="button" class="button" disabled=${words.length === 0 || keyed + post.before === 0} onClick=${again}>Word again</button>`}
      ${foot}
      <button type="button" class="button" disabled=${post.isEnding} onClick=${post.end}>${post.isEnding ? 'Sending the rest …' : done}</button>
    </div>
  </main>`;
}

/**
 * The key with its sidetone, as long as this page is at the key.
 * @param {{ chosen: Chosen, onTone: (onMs: number, offMs: number) => void, onFlood: () => void }} wiring
 */
function useKey({ chosen, onTone, onFlood }) {
  const volume = useSettings((settings) => settings.volume);
  const ownHz = useSettings((settings) => settings.pitchHz);
  const classHz = useLearner((state) => state.class?.pitch_hz ?? 600);
  const pitchHz = ownHz ?? classHz;
  const [isDown, setDown] = useState(false);
  const latest = useRef({ onTone, onFlood });
  latest.current = { onTone, onFlood };
  const { sidetone, key } = useMemo(() => {
    const made = createSidetone({ volume, pitchHz });
    return { sidetone: made, key: createKey({
      sidetone: made, onDown: setDown, onTone: (on, off) => latest.current.onTone(on, off), onFlood: () => latest.current.onFlood(),
    }) };
  }, []);
  useEffect(() => sidetone.set({ volume, pitchHz }), [volume, pitchHz]);
  useEffect(() => key.setKeyer(chosen), [chosen]);
  useEffect(() => {
    sidetone.wake().catch(() => {});
    return () => {
      key.rest();
      sidetone.close();
    };
  }, []);
  const delayMs = useTicking(() => Math.round(sidetone.delayMs()), 1000);
  return { key, sidetone, isDown, delayMs };
}

/** @param {{ words: readonly { word: string }[], at: number }} props */
const Text = ({ words, at }) => html`<p class="sheet key-text sign">
  ${words.map(({ word }, index) => html`<span key=${index} data-is=${index < at ? 'sent' : index === at ? 'now' : ''}
    aria-current=${index === at ? 'step' : undefined}>${word}</span>${' '}`)}
</p>`;

/** @param {{ at: AtKeyOut, heardBy: string, delayMs: number, flood: boolean, isEarly: boolean }} props  isEarly: the turn has not started */
function Facts({ at, heardBy, delayMs, flood, isEarly }) {
  if (isEarly) return html`<p class="soft key-facts">Try your key softly first: in headphones a tone of your own can be louder than the class. The volume is under Settings.</p>`;
  return html`<p class="soft key-facts">Your tone comes ${delayMs} ms after the key, by this device; ${heardBy} it ${(at.delay_ms / 1000).toFixed(1)} s after your key.
    ${at.late > 0 && html` <strong>${at.late} ${at.late === 1 ? 'tone' : 'tones'} came too late to be heard; nothing is lost of what you sent.</strong>`}
    ${flood && html` <strong role="status">More than 30 tones a second are not sent.</strong>`}</p>`;
}

const KEYS = /** @type {const} */ ([['one', 'one key'], ['two', 'two keys'], ['own', 'own key']]);
const WAYS = /** @type {const} */ ([['ends', 'ends with the element'], ['adds', 'adds one more']]);

/** A choice made by pointer keeps no key of the keyboard: the next space bar is for the key. @param {MouseEvent} event */
function handBack({ detail, target }) {
  if (detail === 0 || !(target instanceof Element) || target.closest('.choice') === null) return;
  setTimeout(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
}

/** @param {{ chosen: Chosen, choose: (part: Partial<Chosen>) => void }} props */
function Choices({ chosen, choose }) {
  return html`<div class="key-choices" onClick=${handBack}>
    <${Choice} label="Keys" value=${chosen.keys} options=${KEYS} onChoose=${(/** @type {Chosen['keys']} */ keys) => choose({ keys })} />
    ${chosen.keys === 'two' && html`<details><summary>Two keys: ${chosen.wpm} wpm</summary>
      <label class="inline-field">Speed <input class="input" type="number" min="5" max="40" value=${chosen.wpm}
        onChange=${numbered((wpm) => wpm >= 5 && wpm <= 40 && choose({ wpm }))} /> wpm</label>
      <label class="inline-field">Weight <input type="range" min=${WEIGHTS.low} max=${WEIGHTS.high} value=${chosen.weight}
        aria-valuetext=${`${chosen.weight} in a hundred sound`} onChange=${numbered((weight) => choose({ weight }))} /> ${chosen.weight}</label>
      <${Choice} label="When both are let go, the keying" shown value=${chosen.way} options=${WAYS}
        onChoose=${(/** @type {import('../../core/keyer.js').Way} */ way) => choose({ way })} />
    </details>`}
  </div>`;
}
