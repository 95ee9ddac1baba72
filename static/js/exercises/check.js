/**
 * A formal copy check: warm-up, the text, time to tidy up, marks that an examiner may overrule. What a candidate, the
 * console and the wall see of it. The text comes as sound alone, a few seconds ahead; it is on no page before its end.
 */
import { html, useEffect, useRef, useState } from '../../vendor/preact.js';
import { clockFace, secondsLeft } from '../core/moment.js';
import { vibrate } from '../shell/device.js';
import { onDevice } from '../shell/storage.js';
import { useLearner } from '../view/learner/context.js';
import { typed } from '../view/parts/fields.js';
import { Sign } from '../view/parts/sign.js';
import { TurnStrip } from '../view/parts/turns.js';
import { useTicking } from '../view/parts/use_store.js';
import { Examiner } from './check/examiner.js';
import { Answers, Marked, Ways } from './check/marked.js';
import { Chosen } from './check/setup.js';

/** @import { CheckForConsole, CheckForLearner, CheckForWall } from '../wire.js' */
/** @import { Given, Setup } from '../view/parts/exercise.js' */

const WRITE_EVERY_MS = 4000;
const TITLES = Object.freeze({
  'warming up': 'Warm-up', ready: 'The text comes next', sounding: 'Copy what you hear', tidying: 'Tidy up', over: 'The check is over',
});

// ------------------------------------------------------------------ a candidate

/** @param {Given & { shown: CheckForLearner }} props */
export function Learner({ shown, run, roomMs, send }) {
  const now = useTicking(roomMs, 250);
  if (!shown.sits) return html`<main class="writing"><div class="writing-head"><div><h1>A check is going on</h1><p class="soft">You do not sit it. Please be quiet until it is over.</p></div></div></main>`;
  if (shown.result !== null) return html`<${Result} shown=${shown} />`;
  const isOpen = (shown.stage === 'sounding' || shown.stage === 'tidying') && !shown.handed_in;
  return html`<main class="writing">
    <${TurnStrip} places=${[{ is: 'key', word: 'sends', who: 'machine' }, { is: 'sheet', word: 'copies', who: '', own: isOpen }, { is: 'ring', word: 'marks', who: 'examiner' }]} />
    <div class="writing-head"><div><h1>${shown.handed_in ? 'Handed in' : shown.paused ? 'Paused' : TITLES[shown.stage]}</h1><p class="soft">${lineOf(shown, now)}</p></div>
      ${shown.by !== 'sound' && html`<${Flashes} shown=${shown} roomMs=${roomMs} />`}</div>
    ${shown.stage === 'warming up' && !shown.on_paper && html`<label class="field"><span class="label">Try your hand</span>
      <textarea class="input" data-for="signs" rows="3" spellcheck=${false} autocapitalize="characters" autocomplete="off"></textarea></label>`}
    ${shown.on_paper ? html`<p>You write on paper. Your examiner keys the sheet in.</p>` : shown.stage !== 'warming up' && html`<${Sheet} shown=${shown} run=${run} now=${now} send=${send} isOpen=${isOpen} />`}
  </main>`;
}

/** @param {CheckForLearner} shown @param {number} now */
function lineOf({ stage, handed_in: isIn, begins_room_ms: beginsMs, ends_room_ms: endsMs, paused }, now) {
  if (isIn) return 'You see the result when your examiner shows it.';
  if (paused) return 'It goes on when your examiner says so.';
  if (stage === 'ready') return 'Your examiner begins it. Sit comfortably; nothing counts yet.';
  if (now < beginsMs) return `It starts in ${secondsLeft(beginsMs - now)}.`;
  if (stage === 'warming up') return 'This is to get used to it. It does not count.';
  if (stage === 'sounding') return 'Missed one? Leave a _ and go on. There is time to tidy up afterwards.';
  return stage === 'tidying' ? `${clockFace(endsMs - now)} left; then it is handed in as it stands.` : 'You see the result when your examiner shows it.';
}

/** The copy, kept on this device and with the server as it grows. @param {{ shown: CheckForLearner, run: number, now: number, send: Given['send'], isOpen: boolean }} props */
function Sheet({ shown, run, now, send, isOpen }) {
  const key = useLearner(({ code, seat }) => `check.${code}.${seat?.number}.${run}`);
  const [copy, setCopy] = useState(() => /** @type {string} */ (onDevice.read(key) ?? shown.copy));
  const [answers, setAnswers] = useState(/** @type {string[]} */ ([]));
  const latest = useRef({ copy, answers });
  latest.current = { copy, answers };
  const field = useRef(/** @type {HTMLTextAreaElement | null} */ (null));
  useEffect(() => void onDevice.write(key, copy), [copy]);
  useEffect(() => {
    if (!isOpen) return undefined;
    let told = shown.copy;
    const every = setInterval(() => {
      if (latest.current.copy === told) return;
      told = latest.current.copy;
      send?.('write_check', { push: run, copy: told });
    }, WRITE_EVERY_MS);
    return () => clearInterval(every);
  }, [isOpen]);
  const handIn = () => send?.('hand_in_check', { push: run, copy: latest.current.copy, answers: shown.questions.map((_, i) => latest.current.answers[i] ?? '') });
  const isTime = isOpen && shown.stage === 'tidying' && now >= shown.ends_room_ms;
  useEffect(() => void (isTime && handIn()), [isTime]);
  const put = (/** @type {string} */ sign) => {
    setCopy(`${latest.current.copy}${sign}`);
    field.current?.focus();
  };
  const answer = (/** @type {number} */ i, /** @type {string} */ text) => setAnswers(Object.assign([...latest.current.answers], { [i]: text }));
  return html`<div class="check-sheet">
    <label class="label" for="check-copy">Your copy</label>
    <textarea id="check-copy" class="input" data-for="signs" rows="7" maxlength="3000" spellcheck=${false} autocapitalize="characters" autocomplete="off"
      ref=${field} disabled=${!isOpen} value=${copy} onInput=${typed(setCopy)}></textarea>
    ${shown.signals !== '' && html`<div class="check-signals" role="group" aria-label="Signals">${[...shown.signals].map((sign) => html`<button type="button" class="key" key=${sign}
      disabled=${!isOpen} onClick=${() => put(` ${sign} `)}><${Sign} sign=${sign} also=${true} /></button>`)}</div>`}
    ${shown.questions.map((question, i) => html`<label class="field" key=${question}><span class="label">${i + 1}. ${question}</span>
      <input class="input" maxlength="60" autocomplete="off" disabled=${!isOpen} value=${answers[i] ?? ''} onInput=${typed((text) => answer(i, text))} /></label>`)}
    ${shown.stage === 'tidying' && isOpen && html`<button type="button" class="button" data-kind="primary" onClick=${handIn}>Hand in</button>`}
  </div>`;
}

/** A small lamp, or the device's shaking, in place of sound; at most three flashes a second. @param {{ shown: CheckForLearner, roomMs: () => number }} props */
function Flashes({ shown, roomMs }) {
  const lamp = useRef(/** @type {HTMLElement | null} */ (null));
  const latest = useRef(shown);
  latest.current = shown;
  useEffect(() => {
    let shaken = -1;
    let frame = requestAnimationFrame(function look() {
      const { flashes, flashes_room_ms: fromMs, by } = latest.current;
      const atMs = roomMs() - fromMs;
      const at = flashes.find((edges) => atMs >= edges[0] && atMs < edges[edges.length - 1]);
      const isOn = at !== undefined && at.filter((edge) => edge <= atMs).length % 2 === 1;
      lamp.current?.toggleAttribute('data-lit', by === 'lamp' && isOn);
      if (by === 'vibration' && at !== undefined && at[0] !== shaken) {
        shaken = at[0];
        vibrate(at);
      }
      frame = requestAnimationFrame(look);
    });
    return () => cancelAnimationFrame(frame);
  }, []);
  return html`<span class="check-lamp"><span class="lamp" ref=${lamp} aria-hidden="true"></span>
    <span class="soft">${shown.by === 'lamp' ? 'It flashes up to three times a second. Look away if that troubles you.' : 'The device shakes with each tone.'}</span></span>`;
}

/** @param {{ shown: CheckForLearner }} props */
function Result({ shown: { title, result, text, answers } }) {
  if (result === null) return null;
  return html`<main class="writing">
    <div class="writing-head"><div><h1>${result.meets ? 'Your copy meets the form' : 'Your copy does not meet the form'}</h1><p class="soft">${title}. Whether that is a pass is for your examiner to say.</p></div></div>
    <${Ways} ways=${result.ways} />
    <${Marked} result=${result} />
    ${answers.length > 0 && html`<${Answers} answers=${answers} />`}
    <p class="soft">Sent: <span class="check-text">${text}</span></p>
  </main>`;
}

// ------------------------------------------------------------------ the console, and the wall

/** @param {Given & { shown: CheckForConsole }} props */
export function Console(props) {
  return html`<${Examiner} ...${props} />`;
}

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function SetUp(props) {
  return html`<${Chosen} ...${props} />`;
}

/** @param {Given & { shown: CheckForWall }} props */
export function Wall({ shown, roomMs }) {
  const now = useTicking(roomMs, 250);
  const before = shown.stage !== 'ready' && now < shown.begins_room_ms;
  const middle = before ? String(secondsLeft(shown.begins_room_ms - now)) : shown.stage === 'sounding' || shown.stage === 'warming up' ? clockFace(shown.ends_room_ms - now) : '';
  return html`<main class="wall">
    <header><h1>${shown.paused ? 'A short pause' : TITLES[shown.stage]}</h1></header>
    <div class="wall-middle"><p class="wall-number">${middle}</p>
      <p class="wall-quiet">${shown.stage === 'tidying' ? 'Tidy up; each page says how long.' : shown.title}</p></div>
    <footer><p class="soft">${shown.source}. ${shown.stage === 'tidying' || shown.stage === 'over' ? `${shown.handed_in} of ${shown.of} handed in.` : ''}</p></footer>
  </main>`;
}
