/** The sender's page: what to send, a key as large as the page allows, and the way of the tones to the class. */
import { html, useEffect, useMemo, useRef, useState } from '../../../vendor/preact.js';
import { EVEN_WEIGHT, WEIGHTS } from '../../core/keyer.js';
import { BATCH_EVERY_MS, batchAt, NOTHING, tonesBefore, withKept, withTone, wordAt, wordsOf } from '../../core/keying.js';
import { clockFace } from '../../core/moment.js';
import { createKey } from '../../shell/key.js';
import { createSidetone } from '../../shell/sidetone.js';
import { onDevice } from '../../shell/storage.js';
import { useLearner, useSettings } from '../../view/learner/context.js';
import { Choice } from '../../view/parts/choice.js';
import { numbered, submitted } from '../../view/parts/fields.js';
import { useTicking } from '../../view/parts/use_store.js';
import { OwnKey } from './own_key.js';
import { Pad } from './pad.js';

/** @import { KeyForLearner } from '../../wire.js' */
/** @import { Send } from '../../core/messages.js' */
/** @import { KeyerSettings } from '../../shell/key.js' */
/** @import { Waiting } from '../../core/keying.js' */
/** @typedef {KeyerSettings & { keys: 'one' | 'two' | 'own' }} Chosen */

/** @type {Chosen} */
const FIRST = Object.freeze({ keys: 'one', wpm: 14, weight: EVEN_WEIGHT, way: 'ends' });

const END_AGAIN_MS = 2000;
/** So much of a turn's time is told, and no more: nobody keys well against a clock. */
const TOLD_LEFT_MS = 30_000;

/** Where tones that the room does not hold yet lie on this device: a reload or an empty battery loses none. */
const SHELF = 'keyed';

/** @param {{ shown: KeyForLearner, run: number, send: Send, roomMs: () => number }} props */
export function Sender({ shown, run, send, roomMs }) {
  const [chosen, setChosen] = useState(() => /** @type {Chosen} */ ({ ...FIRST, ...onDevice.read('keyer') }));
  const [keyed, setKeyed] = useState(0);
  const [flood, setFlood] = useState(false);
  const post = usePost({ shown, run, send, roomMs });
  const starts = useTicking(() => Math.max(0, Math.ceil((shown.now.start_room_ms - roomMs()) / 1000)), 200);
  const left = useTicking(() => {
    const leftMs = (shown.now.ends_room_ms ?? Infinity) - roomMs();
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
  const words = useMemo(() => wordsOf(shown.text), [shown.text]);
  const at = wordAt(words, keyed + post.before);
  const again = () => {
    const word = Math.min(at, words.length - 1);
    const isBegun = keyed + post.before > tonesBefore(words, word);
    const sent = isBegun || word === 0 ? word : word - 1;
    if (words.length > 0 && send('word_again', { turn: shown.now.turn, word: sent })) setKeyed(tonesBefore(words, sent + 1) - post.before);
  };
  return html`<main class="key-page">
    <div class="key-head"><h1>${heading(shown, starts)}</h1><p class="soft">By ear: listen to your own tone.${left !== '' && ` ${left} left.`}</p></div>
    ${shown.says ? html`<${SayIt} shown=${shown} send=${send} />` : html`<${Text} words=${words} at=${at} />`}
    ${chosen.keys === 'own' ? html`<${OwnKey} onTone=${take} onFlood=${tooQuick} />`
      : html`<${Pad} sound=${key} two=${chosen.keys === 'two'} isOn=${starts === 0 && !shown.now.paused} />`}
    <${Facts} shown=${shown} delayMs=${key.delayMs} flood=${flood} isEarly=${starts > 0} />
    <${Choices} chosen=${chosen} choose=${choose} />
    <div class="key-foot">
      <button type="button" class="button" disabled=${words.length === 0 || keyed + post.before === 0} onClick=${again}>Word again</button>
      <button type="button" class="button" disabled=${post.isEnding} onClick=${post.end}>${post.isEnding ? 'Sending the rest …' : 'I have sent it all'}</button>
    </div>
  </main>`;
}

/** @param {KeyForLearner} shown @param {number} starts */
function heading({ now, says }, starts) {
  if (now.paused) return 'Paused';
  if (starts > 0) return `Your turn in ${starts} s`;
  return says ? 'Send something of your own' : 'Send this';
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

/**
 * Brings tones to the room, again and again until it holds them.
 * @param {{ shown: KeyForLearner, run: number, send: Send, roomMs: () => number }} props
 */
function usePost({ shown, run, send, roomMs }) {
  const { turn, start_room_ms: startRoomMs } = shown.now;
  const place = `${useLearner((state) => state.code)}.${run}.${turn}`;
  const box = useRef({ place: '', waiting: NOTHING });
  if (box.current.place !== place) box.current = { place, waiting: lying(place, shown.kept) };
  const before = useMemo(() => box.current.waiting.first + box.current.waiting.tones.length, [place]);
  const put = (/** @type {Waiting} */ waiting) => {
    if (waiting.tones !== box.current.waiting.tones) onDevice.write(SHELF, { place, waiting });
    box.current.waiting = waiting;
  };
  put(withKept(box.current.waiting, shown.kept));
  const [isEnding, setEnding] = useState(false);
  useEffect(() => {
    const timer = setInterval(() => {
      const out = batchAt(box.current.waiting, performance.now());
      if (out.batch === null || send('key_edges', { turn, ...out.batch })) put(out.waiting);
    }, BATCH_EVERY_MS);
    return () => clearInterval(timer);
  }, [place]);
  // The turn ends when the room holds all of it, however long the line is broken.
  const isHeld = isEnding && box.current.waiting.tones.length === 0;
  useEffect(() => {
    if (!isHeld) return undefined;
    const end = () => send('sent_all', { turn });
    end();
    const timer = setInterval(end, END_AGAIN_MS);
    return () => clearInterval(timer);
  }, [isHeld]);
  return {
    before,
    isEnding,
    end: () => setEnding(true),
    /** @param {number} onMs @param {number} offMs  page time @returns {boolean} whether it is on its way: before the start and in a pause it is practice */
    take(onMs, offMs) {
      const toTurn = roomMs() - performance.now() - startRoomMs;
      if (shown.now.paused || !(onMs + toTurn >= 0)) return false;
      const next = withTone(box.current.waiting, [onMs + toTurn, offMs + toTurn]);
      const isTone = next !== box.current.waiting;
      put(next);
      return isTone;
    },
  };
}

/** What lies on this device of a turn of which the room holds so many tones; all of it goes out again. @param {string} place @param {number} kept @returns {Waiting} */
function lying(place, kept) {
  const found = onDevice.read(SHELF);
  const waiting = found?.place === place ? { .../** @type {Waiting} */ (found.waiting), sent: 0 } : { ...NOTHING, first: kept };
  return withKept(waiting, kept);
}

/** @param {{ words: readonly { word: string }[], at: number }} props */
const Text = ({ words, at }) => html`<p class="sheet key-text sign">
  ${words.map(({ word }, index) => html`<span key=${index} data-is=${index < at ? 'sent' : index === at ? 'now' : ''}
    aria-current=${index === at ? 'step' : undefined}>${word}</span>${' '}`)}
</p>`;

/** @param {{ shown: KeyForLearner, send: Send }} props */
function SayIt({ shown, send }) {
  const say = submitted((field) => send('say_text', { turn: shown.now.turn, text: field('text') }));
  return html`<form class="key-say" onSubmit=${say}>
    <label class="field"><span class="label">${shown.text === '' ? 'Say first what you will send' : `You will send: ${shown.text}`}</span>
      <input class="input" name="text" maxlength="200" autocomplete="off" autocapitalize="characters" /></label>
    <button class="button" type="submit">That is it</button>
  </form>`;
}

/** @param {{ shown: KeyForLearner, delayMs: number, flood: boolean, isEarly: boolean }} props  isEarly: the turn has not started */
function Facts({ shown: { now }, delayMs, flood, isEarly }) {
  if (isEarly) return html`<p class="soft key-facts">Try your key softly first: in headphones a tone of your own can be louder than the class. The volume is under Settings.</p>`;
  return html`<p class="soft key-facts">Your tone comes ${delayMs} ms after the key, by this device; all others hear it ${(now.delay_ms / 1000).toFixed(1)} s after your key.
    ${now.late > 0 && html` <strong>${now.late} ${now.late === 1 ? 'tone' : 'tones'} came too late to be heard; nothing is lost of what you sent.</strong>`}
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
