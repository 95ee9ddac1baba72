/**
 * Named rounds: a sound, a gap to answer in, its name. What a learner, the console and the wall see of them, and how they
 * are set up. When a field of the round begins, each page knows by the room's clock; the name comes from the server alone.
 */
import { html, useEffect, useRef, useState } from '../../vendor/preact.js';
import { inTableOrder } from '../core/alphabet.js';
import { signOf } from '../core/copy.js';
import { secondsLeft } from '../core/moment.js';
import { useConsole } from '../view/console/desk.js';
import { Palette, toggled } from '../view/console/palette.js';
import { plainly } from '../view/console/signs.js';
import { useSettings } from '../view/learner/context.js';
import { Keys } from '../view/learner/keys.js';
import { Lamp } from '../view/learner/lamp.js';
import { Choice } from '../view/parts/choice.js';
import { numbered } from '../view/parts/fields.js';
import { Sign, spoken } from '../view/parts/sign.js';
import { HandOver, SkipTurn, TurnStrip } from '../view/parts/turns.js';
import { useTicking } from '../view/parts/use_store.js';

/** @import { NamedForConsole, NamedForLearner, NamedForWall, NamedResponse, NamedRound, SeatOut } from '../wire.js' */
/** @import { Send } from '../core/messages.js' */
/** @import { Given, Setup } from '../view/parts/exercise.js' */
/** "done": the last name has been shown, and the run is still open. @typedef {'before' | 'sound' | 'gap' | 'name' | 'held' | 'done' | 'over'} Field */
/** @typedef {{ push: number, place: number, sign: string, at_ms: number }} Answer */

// ------------------------------------------------------------------ pure

/**
 * Which field of the round it is, and how much of it has passed. A pause does not lengthen a gap.
 * @param {NamedRound} shown @param {number} roomMs @returns {{ field: Field, passedMs: number, ofMs: number }}
 */
export function momentOf(shown, roomMs) {
  const within = (/** @type {number} */ ms, /** @type {number} */ of) => Math.min(Math.max(0, ms), of);
  if (shown.over) return { field: 'over', passedMs: 0, ofMs: 0 };
  if (shown.step === '') return { field: shown.held === '' ? 'before' : 'held', passedMs: 0, ofMs: 0 };
  if (shown.step !== 'sound') {
    const ofMs = shown.next_room_ms - shown.over_room_ms;
    if (shown.round === shown.rounds && roomMs >= shown.next_room_ms) return { field: 'done', passedMs: ofMs, ofMs };
    return { field: 'name', passedMs: within(roomMs - shown.over_room_ms, ofMs), ofMs };
  }
  if (shown.held !== '') return { field: 'held', passedMs: 0, ofMs: 0 };
  const soundMs = shown.gap_room_ms - shown.sound_room_ms;
  if (roomMs < shown.gap_room_ms) return { field: 'sound', passedMs: within(roomMs - shown.sound_room_ms, soundMs), ofMs: soundMs };
  return { field: 'gap', passedMs: within(shown.gap_ms - (shown.over_room_ms - roomMs), shown.gap_ms), ofMs: shown.gap_ms };
}

/** @param {number} ms */
export const seconds = (ms) => (ms / 1000).toFixed(1);

/** "1st", "2nd", "11th", "22nd" @param {number} n */
export function ordinal(n) {
  const last = n % 100 > 10 && n % 100 < 14 ? 0 : n % 10;
  return `${n}${['th', 'st', 'nd', 'rd'][last] ?? 'th'}`;
}

const IN_WORDS = ['nobody', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];

/** The turn in a sentence. @param {Pick<NamedRound, 'by_turns' | 'turns' | 'meets' | 'asks'>} shown @param {number} asked  who answer on a device here */
export function turnWords({ by_turns: byTurns, turns, meets, asks }, asked) {
  if (meets) return asks ? 'All listen; who knows it answers' : 'All listen';
  if (!byTurns) return 'All answer';
  if (turns.length === 0) return 'Nobody is here to answer';
  const along = Math.max(0, asked - 1);
  return `${turns[0].name} answers, ${IN_WORDS[along] ?? along} ${along < 2 ? 'writes' : 'write'} along`;
}

/** So much right is called right. */
const MOSTLY = 0.8;

/** What is said of a symbol beside its figures; "" where there is nothing to say. @param {NamedResponse} one */
export function verdict({ slow, mixed, right, asked }) {
  if (slow && !mixed) return right >= MOSTLY * asked ? 'right, but slow' : 'slow';
  if (mixed) return slow ? 'slow, and mixed up' : 'mixed up';
  return '';
}

/** "Y", "Y and 8", "Y, 8 and F" @param {readonly string[]} signs */
export const listed = (signs) => signs.map(plainly).join(', ').replace(/, ([^,]*)$/, ' and $1');

/** Who is asked on a device, and has not answered this round. @param {readonly SeatOut[]} seats @param {readonly number[]} answered */
export function stillAsked(seats, answered) {
  const asked = seats.filter((seat) => seat.here && seat.inside && seat.device && seat.way === 'typing');
  return { asked: asked.length, waiting: asked.filter((seat) => !answered.includes(seat.seat)) };
}

/** What became of an answer, for its shape. @param {string} sent @param {string} answer */
export function outcome(sent, answer) {
  if (answer === ' ' || answer === '') return 'none';
  if (answer === '_') return 'blank';
  return answer === sent ? 'right' : 'another';
}

// ------------------------------------------------------------------ on every page

/** Sound, gap and name, in this order on every page. @param {{ shown: NamedRound, roomMs: () => number }} props */
function Fields({ shown, roomMs }) {
  const now = useTicking(roomMs, 100);
  const { field, passedMs, ofMs } = momentOf(shown, now);
  const part = ofMs > 0 ? passedMs / ofMs : 0;
  const gapWords = field === 'gap' ? `${seconds(passedMs)} of ${seconds(ofMs)} s` : `${seconds(shown.gap_ms)} s`;
  const nameWords = shown.voice ? (shown.step === 'say' ? 'say it now' : 'by voice') : 'for all';
  const fields = /** @type {const} */ ([['sound', 'sound', 'listen'], ['gap', shown.asks ? 'gap: answer' : 'gap', gapWords], ['name', 'name', nameWords]]);
  return html`<ol class="named-fields" role="list" aria-label="This round">
    ${fields.map(([is, label, words]) => html`<li key=${is} data-is=${is} data-now=${field === is ? '' : undefined}
      aria-current=${field === is ? 'step' : undefined}>
      <span>${label}</span> <strong>${words}</strong>
      <span class="named-bar" style=${{ '--part': field === is ? part : 0 }}></span>
    </li>`)}
  </ol>`;
}

const PLACES = ['now', 'next', 'after two', 'then'];

/** Four places; one's own is dashed. @param {{ turns: NamedRound['turns'], seat?: number }} props */
function Queue({ turns, seat = 0 }) {
  return html`<ol class="named-queue" role="list" aria-label="Whose turn it is">
    ${turns.map((turn, i) => html`<li key=${i} data-own=${turn.seat === seat ? '' : undefined} aria-current=${i === 0 ? 'true' : undefined}>
      <span>${PLACES[i]}</span> <strong>${turn.seat === seat ? 'you' : turn.name}</strong></li>`)}
  </ol>`;
}

// ------------------------------------------------------------------ a learner

/** @param {Given & { shown: NamedForLearner }} props */
export function Learner({ shown, roomMs, send, seat = 0 }) {
  const { own, right, press } = useWriting(shown, roomMs, send);
  useTyping(press, !shown.over);
  const field = useTicking(() => momentOf(shown, roomMs()).field, 50);
  const lamp = useSettings((settings) => settings.lamp);
  if (shown.over) return html`<${Afterwards} shown=${shown} />`;
  const isTurn = shown.turns[0]?.seat === seat;
  return html`<main class="writing named" data-turns=${shown.by_turns ? '' : undefined}>
    ${shown.by_turns && html`<${TurnStrip} places=${placesOf(shown, isTurn)} /><${Queue} turns=${shown.turns} seat=${seat} />`}
    <${Fields} shown=${shown} roomMs=${roomMs} />
    <div class="writing-head"><h1>${orderOf(shown, field, own, isTurn)}</h1>${lamp && html`<${Lamp} />`}</div>
    <${Sheet} shown=${shown} own=${own} right=${right} />
    <${Foot} shown=${shown} roomMs=${roomMs} />
    <div class="keyboard">${shown.on_paper || !shown.asks ? html`<p class="soft">${shown.asks ? 'You write on paper; the name comes here.'
      : 'One sound, and its name after it. Nothing to count, nothing to write.'}</p>`
      : html`<${Keys} symbols=${shown.symbols} onPress=${press} />`}</div>
  </main>`;
}

/** @param {NamedForLearner} shown @param {boolean} isTurn @returns {Parameters<typeof TurnStrip>[0]['places']} */
const placesOf = ({ turns }, isTurn) => [
  { is: 'key', word: 'answers', who: turns[0]?.name ?? 'nobody', own: isTurn },
  { is: 'sheet', word: 'write along', who: isTurn ? 'all others' : '', own: !isTurn },
  { is: 'ring', word: 'then', who: turns[1]?.name ?? 'nobody' },
];

const MET = 'That was it. Your instructor goes on.';

/** What is expected now, as an order. @param {NamedForLearner} shown @param {Field} field @param {string} own @param {boolean} isTurn */
function orderOf({ step, voice, on_paper: onPaper, name, meets, asks, held }, field, own, isTurn) {
  if (held === 'stopped') return 'The sound was stopped';
  if (field === 'held') return 'Paused';
  if (field === 'done') return meets ? MET : 'That was the last one';
  if (!asks) return 'Just listen.';
  if (field === 'before') return 'Get ready';
  if (step === 'say') return 'Your instructor says it';
  if (field === 'name') return outcome(name, own) === 'right' ? 'Right' : onPaper ? 'Compare it' : 'Put it right, then on';
  if (own !== '') return voice ? 'Written. Now it is said' : 'Written. Now its name';
  if (field === 'sound') return isTurn ? 'Listen: you answer' : 'Listen';
  if (meets) return 'The new one, or another?';
  return isTurn ? 'You answer: what was it?' : 'What was it?';
}

/**
 * What the learner wrote this round, shown at once and said again until the server holds it.
 * @param {NamedForLearner} shown @param {() => number} roomMs @param {Send} [send]
 */
function useWriting(shown, roomMs, send) {
  const [answers, setAnswers] = useState(/** @type {readonly Answer[]} */ ([]));
  const [put, setPut] = useState({ place: -1, sign: '' });
  const place = shown.round - 1;
  const latest = useRef({ shown, answers });
  latest.current = { shown, answers };
  useEffect(() => {
    const isMissing = (/** @type {Answer} */ one) => one.place >= place - 2 && (shown.answers[one.place] ?? ' ') === ' ';
    for (const one of answers.filter(isMissing)) send?.('answer_sound', one);
  }, [shown]);
  const held = (shown.answers[place] ?? ' ').trim();
  const own = held || (answers.find((one) => one.place === place)?.sign ?? '');
  const press = (/** @type {string} */ sign, /** @type {number} */ pageMs) => {
    const now = latest.current.shown, at = now.round - 1;
    const pressedRoomMs = roomMs() - Math.max(0, performance.now() - pageMs);
    const { field } = momentOf(now, pressedRoomMs);
    const known = (now.answers[at] ?? ' ').trim() || latest.current.answers.some((one) => one.place === at);
    if (now.name !== '') {
      if (outcome(now.name, (now.answers[at] ?? '')) === 'right') return;
      setPut({ place: at, sign });
      send?.('put_right', { push: now.push, place: at, sign });
    } else if ((field === 'sound' || field === 'gap') && !known && now.symbols.concat('_').includes(sign)) {
      const answer = { push: now.push, place: at, sign, at_ms: Math.round((pressedRoomMs - now.start_room_ms) * 10) / 10 };
      setAnswers((before) => [...before.slice(-3), answer]);
      latest.current.answers = [...latest.current.answers, answer];
      send?.('answer_sound', answer);
    }
  };
  return { own, right: put.place === place ? put.sign : shown.right, press };
}

/** A physical keyboard. @param {(sign: string, pageMs: number) => void} press @param {boolean} on */
function useTyping(press, on) {
  const latest = useRef(press);
  latest.current = press;
  useEffect(() => {
    const down = (/** @type {KeyboardEvent} */ event) => {
      const isElsewhere = event.target instanceof Element && event.target.closest('input, textarea, select, dialog') !== null;
      const pressesButton = (event.key === ' ' || event.key === 'Enter') && event.target instanceof Element
        && event.target.matches('button:focus-visible, a:focus-visible');
      if (isElsewhere || pressesButton || event.repeat || event.ctrlKey || event.metaKey) return;
      const sign = event.key === ' ' ? '_' : signOf(event.key);
      if (sign === '') return;
      event.preventDefault();
      latest.current(sign, event.timeStamp);
    };
    if (on) document.addEventListener('keydown', down);
    return () => document.removeEventListener('keydown', down);
  }, [on]);
}

/** "It was" beside "you wrote"; before the name only what was written. @param {{ shown: NamedForLearner, own: string, right: string }} props */
function Sheet({ shown, own, right }) {
  const isNamed = shown.name !== '';
  const is = isNamed ? outcome(shown.name, own) : own === '' ? 'none' : 'kept';
  return html`<div class="named-sheet sheet" data-alone=${shown.asks ? undefined : ''}>
    <div role="status">${isNamed && html`<p class="soft">it was</p><p class="named-sign" aria-label=${spoken(shown.name)}><${Sign} sign=${shown.name} /></p>`}
      ${!isNamed && !shown.asks && html`<p class="soft">Its name comes after it.</p>`}</div>
    ${!shown.on_paper && shown.asks && html`<div><p class="soft">${isNamed || own !== '' ? 'you wrote' : 'yours'}</p>
      <p class="named-own" data-is=${is}>${own === '' ? (isNamed ? 'nothing' : '') : html`<${Sign} sign=${own} /><span class="unseen">${own === '_' ? 'blank' : ''}</span>`}</p>
      ${isNamed && html`<p class="soft">${besideWords(shown.name, own, right)}</p>`}</div>`}
  </div>`;
}

/** @param {string} name @param {string} own @param {string} right */
function besideWords(name, own, right) {
  const is = outcome(name, own);
  if (is === 'right') return 'right';
  if (right !== '') return right === name ? `put right: ${plainly(right)}` : `now ${plainly(right)}`;
  return is === 'another' ? 'another: put it right' : 'put it in, then on';
}

/** @param {{ shown: NamedForLearner, roomMs: () => number }} props */
function Foot({ shown, roomMs }) {
  const toMs = shown.round === 0 ? shown.sound_room_ms : shown.next_room_ms;
  const left = useTicking(() => secondsLeft(toMs - roomMs()), 200);
  const isNext = shown.held === '' && !Number.isNaN(left) && shown.round < shown.rounds && (shown.round === 0 || shown.name !== '');
  return html`<p class="named-foot soft">${shown.round > 0 && `${ordinal(shown.round)} of ${shown.rounds}`}
    ${isNext && `${shown.round > 0 ? '; the next sound comes' : 'The first sound comes'} ${left > 0 ? `in ${left} s` : 'now'}`}</p>`;
}

/** When it is over: what sounded, and one's own first answers under it. @param {{ shown: NamedForLearner }} props */
function Afterwards({ shown }) {
  if (shown.meets) return html`<main class="column"><h1>${MET}</h1></main>`;
  const sent = [...shown.sent];
  const rights = sent.filter((sign, i) => shown.answers[i] === sign).length;
  return html`<main class="column">
    <h1>The rounds are over</h1>
    ${sent.length === 0 ? html`<p>Your instructor goes on.</p>` : html`
      <p>${shown.on_paper ? 'What sounded, for your sheet.' : `Known before its name: ${rights} of ${sent.length}. Under each sound stands your first answer.`}</p>
      <ol class="named-answers" role="list" aria-label="What sounded, and what you answered">
        ${sent.map((sign, i) => html`<li key=${i} data-is=${outcome(sign, shown.answers[i] ?? ' ')}>
          <${Sign} sign=${sign} />
          <span class="named-answer"><span class="unseen">you wrote ${answerWords(shown.answers[i] ?? ' ')}</span>
            <span aria-hidden="true">${(shown.answers[i] ?? ' ') === ' ' ? '·' : html`<${Sign} sign=${shown.answers[i]} />`}</span></span></li>`)}
      </ol>
      ${!shown.on_paper && html`<p class="soft">Underlined: another sound. A dot: nothing written in time.</p>`}`}
  </main>`;
}

/** @param {string} answer */
const answerWords = (answer) => (answer === ' ' ? 'nothing' : spoken(answer));

// ------------------------------------------------------------------ the console

/** @param {Given & { shown: NamedForConsole }} props */
export function Console({ shown, roomMs, send, seats = [], detail }) {
  const { asked, waiting } = stillAsked(seats, shown.answered);
  const now = shown.turns[0];
  return html`<div class="named-console">
    <div class="named-head">
      <div><p class="soft">${shown.round === 0 ? `${shown.rounds} rounds` : `${ordinal(shown.round)} of ${shown.rounds}.`}
          ${!shown.over && shown.by_turns && shown.turns[1] && ` ${shown.turns[1].name} is next and knows it.`}</p></div>
      ${!shown.over && shown.by_turns && now !== undefined && send !== undefined && html`<div class="named-orders">
        <${SkipTurn} send=${send} /><${HandOver} send=${send} seat=${now.seat} name=${now.name} seats=${seats} /></div>`}
    </div>
    ${!shown.over && html`<${Fields} shown=${shown} roomMs=${roomMs} />`}
    ${shown.voice && !shown.over && shown.name !== '' && html`<${ToSay} shown=${shown} roomMs=${roomMs} />`}
    <${Rounds} shown=${shown} text=${detail?.text ?? ''} />
    <dl class="facts"><div><dt>sounds at</dt><dd>${detail?.wpm ?? '–'} wpm</dd></div><div><dt>gap</dt><dd>${seconds(shown.gap_ms)} s</dd></div>
      <div><dt>pitch</dt><dd>${detail?.pitch_hz ?? '–'} Hz</dd></div>
      ${detail?.counted === false && html`<div><dt>table</dt><dd>not counted</dd></div>`}</dl>
    ${!shown.over && shown.round > 0 && shown.asks && html`<p class="named-waiting">${waitingWords(waiting, asked)}</p>`}
    ${!shown.meets && html`<${Responses} responses=${shown.responses} /><${Leaning} shown=${shown} send=${send} />`}
  </div>`;
}

/** Who answers: the card's heading. @param {Given & { shown: NamedForConsole }} props */
export const Title = ({ shown, seats = [] }) => (shown.over ? 'The rounds are over' : turnWords(shown, stillAsked(seats, shown.answered).asked));

/** The name before everybody else has it, with the time to say it. @param {{ shown: NamedForConsole, roomMs: () => number }} props */
function ToSay({ shown, roomMs }) {
  const left = useTicking(() => secondsLeft(shown.over_room_ms - roomMs()), 100);
  const words = shown.step === 'name' ? 'It is on the screens now'
    : shown.step === 'say' ? 'Say it now' : `Say it ${left > 0 ? `in ${left} s, when the gap is over` : 'now'}`;
  return html`<p class="named-say" data-now=${shown.step === 'say' ? '' : undefined}><span class="named-sign"><${Sign} sign=${shown.name} /></span>
    <strong>${words}</strong></p>`;
}

/** @param {readonly SeatOut[]} waiting @param {number} asked */
function waitingWords(waiting, asked) {
  if (asked === 0) return 'Nobody here answers on a device.';
  if (waiting.length === 0) return 'All have answered this one.';
  const more = waiting.length > 6 ? ` and ${waiting.length - 6} more` : '';
  return `Not yet: ${waiting.slice(0, 6).map((seat) => seat.name).join(', ')}${more}.`;
}

/** The ribbon of rounds: what the class wrote for each before its name. @param {{ shown: NamedForConsole, text: string }} props */
function Rounds({ shown, text }) {
  const signs = [...text].filter((sign) => sign !== ' ').slice(0, shown.over ? shown.bars.length : undefined);
  return html`<ol class="named-rounds" role="list" aria-label="The rounds so far">
    ${signs.map((sign, i) => {
      const [asked, right, another, blank] = shown.bars[i] ?? [0, 0, 0, 0];
      const of = Math.max(1, asked);
      const isKnown = i < shown.bars.length;
      return html`<li key=${i} data-now=${i === shown.round - 1 && !shown.over ? '' : undefined} title=${isKnown ? barWords(asked, right, another, blank) : undefined}>
        <span class="named-share" style=${{ '--right': right / of, '--another': another / of, '--blank': blank / of }}></span>
        ${isKnown ? html`<${Sign} sign=${sign} /><span class="unseen">${barWords(asked, right, another, blank)}</span>`
          : html`<span class="sign" aria-hidden="true">${i === shown.round - 1 ? '?' : '·'}</span>`}</li>`;
    })}
  </ol>
  ${shown.asks && html`<p class="help">Bars: what the class wrote before each name; from below right, another, blank.</p>`}`;
}

/** @param {number} asked @param {number} right @param {number} another @param {number} blank */
const barWords = (asked, right, another, blank) => `${right} of ${asked} right, ${another} another, ${blank} blank`;

const AXIS_MS = 3000;

/** How fast each sound is known, in the alphabet's order and without names. @param {{ responses: readonly NamedResponse[] }} props */
function Responses({ responses }) {
  const asked = responses.filter((one) => one.asked > 0);
  if (asked.length === 0) return null;
  return html`<table class="named-responses">
    <caption>How fast each sound is known <span class="soft">right answers of the class, from the sound's end; network and copying behind taken out</span></caption>
    <thead><tr><th scope="col">sound</th><th scope="col">0 to ${AXIS_MS / 1000} s; band: middle half; dashed: 1 s</th><th scope="col">median</th>
      <th scope="col">heard right</th><th scope="col"><span class="unseen">finding</span></th></tr></thead>
    <tbody>${asked.map((one) => html`<tr key=${one.sign}>
      <th scope="row"><${Sign} sign=${one.sign} /></th>
      <td><${Dots} response=${one} /></td>
      <td>${one.median_ms === null ? html`<span class="soft">not enough yet</span>` : html`<strong>${(one.median_ms / 1000).toFixed(2)} s</strong>`}</td>
      <td><strong>${one.right}</strong> of ${one.asked}</td>
      <td>${verdict(one) !== '' && html`<span class="named-verdict">${verdict(one)}</span>`}</td>
    </tr>`)}</tbody>
  </table>`;
}

/** @param {number} ms */
const along = (ms) => `${(100 * Math.min(ms, AXIS_MS)) / AXIS_MS}%`;

/** @param {{ response: NamedResponse }} props */
function Dots({ response: { dots, median_ms: median, low_ms: low, high_ms: high } }) {
  return html`<svg class="named-dots" aria-hidden="true">
    <line class="named-axis" x1="0" x2="100%" y1="50%" y2="50%" />
    ${low !== null && high !== null && html`<rect class="named-band" x=${along(low)} width=${along(Math.max(30, high - low))} y="33%" height="34%" />`}
    ${dots.flatMap(([ms, times]) => Array.from({ length: Math.min(times, 6) }, (_, k) => html`<circle class="named-dot"
      key=${`${ms} ${k}`} cx=${along(ms)} cy=${`${50 + (k % 2 === 0 ? 1 : -1) * Math.ceil(k / 2) * 13}%`} r="0.14em" />`))}
    ${median !== null && html`<rect class="named-median" x=${along(median)} y="16%" width="0.2em" height="68%" />`}
    <line class="named-second" x1=${along(1000)} x2=${along(1000)} y1="0" y2="100%" />
  </svg>`;
}

/** What the next rounds should lean on. @param {{ shown: NamedForConsole, send?: Send }} props */
function Leaning({ shown, send }) {
  const wanted = shown.responses.filter((one) => verdict(one) !== '').map(({ sign }) => sign);
  const slow = shown.responses.filter((one) => verdict(one) === 'right, but slow').map(({ sign }) => sign);
  if (wanted.length === 0) return null;
  const again = () => send?.('start_exercise', {
    kind: 'named', setup: { symbols: shown.symbols, lean: wanted.join(''), rounds: shown.rounds, gap_s: shown.gap_ms / 1000, voice: shown.voice, by_turns: shown.by_turns },
  });
  const first = slow[0] ?? wanted[0];
  const hear = () => send?.('send_text', { purpose: 'one', symbols: first, count: 5, group: 5, text: '', name_shown: true, counted: false });
  return html`<div class="named-lean"><p>${slow.length > 0 && html`<strong>${listed(slow)}</strong> ${slow.length === 1 ? 'is' : 'are'} right and slow: counted, not yet heard. `}
    The next rounds would lean on ${listed(wanted)}.</p>
    ${shown.over && send !== undefined && html`<div class="named-orders">
      <button type="button" class="button" data-size="small" data-sends="" onClick=${hear}>Hear ${plainly(first)}, all together</button>
      <button type="button" class="button" data-size="small" data-sends="" onClick=${again}>Rounds that lean on ${listed(wanted)}</button></div>`}
  </div>`;
}

// ------------------------------------------------------------------ the wall

/** @param {Given & { shown: NamedForWall }} props */
export function Wall({ shown, roomMs }) {
  const field = useTicking(() => momentOf(shown, roomMs()).field, 50);
  return html`<main class="wall named-wall" data-phase=${field}>
    <header><h1>${wallWords(shown, field)}</h1>${!shown.over && shown.round > 0 && html`<p class="soft">${ordinal(shown.round)} of ${shown.rounds}</p>`}</header>
    ${shown.over ? html`<${WallResult} shown=${shown} />` : html`<div class="named-wall-body">
      ${shown.by_turns && html`<${Queue} turns=${shown.turns} />`}
      <${Fields} shown=${shown} roomMs=${roomMs} />
      <p class="named-wall-sign" role="status">${shown.name === '' ? html`<span aria-hidden="true">${shown.round > 0 ? '?' : ''}</span>` : html`<${Sign} sign=${shown.name} />`}</p>
      <p class="wall-quiet">${shown.name === '' && shown.round > 0 && shown.asks ? `${shown.answered} ${shown.answered === 1 ? 'has' : 'have'} answered` : '\u00a0'}</p>
    </div>`}
    <footer><p class="soft">${wallFoot(shown)}</p></footer>
  </main>`;
}

/** @param {NamedForWall} shown */
function wallFoot({ over, asks }) {
  if (!asks) return 'One sound, and its name after it. Nothing to count, nothing to write.';
  return over ? 'Speed is for sounds, not for people.' : 'Answer before the name comes; a blank is an honest answer.';
}

/** @param {NamedForWall} shown @param {Field} field */
function wallWords({ by_turns: byTurns, turns, step, meets, asks, held }, field) {
  if (field === 'over') return meets ? 'That was it' : 'How fast we know them';
  if (field === 'done') return meets ? 'That was it' : 'That was the last one';
  if (held === 'stopped') return 'The sound was stopped';
  if (field === 'held') return 'A short pause';
  if (field === 'before') return 'Listen, answer, then hear its name';
  if (step === 'say') return 'Now it is said';
  if (field === 'name') return 'It was';
  if (meets) return asks ? 'The new one, or another?' : 'Just listen';
  return byTurns && turns[0] !== undefined ? `${turns[0].name} answers, all write along` : 'All answer';
}

/** @param {{ shown: NamedForWall }} props */
function WallResult({ shown: { responses, meets } }) {
  if (meets) return html`<div class="named-wall-body"></div>`;
  const known = responses.filter((one) => one.median_ms !== null);
  const slow = known.filter(({ slow: isSlow }) => isSlow).map(({ sign }) => sign);
  const words = responses.length === 0 ? 'Pencils down' : known.length === 0 ? 'Too few answers for a time yet.'
    : slow.length === 0 ? 'All within a second.' : `Listen for ${listed(slow)}: known, but not at once.`;
  return html`<div class="named-wall-body"><p class="wall-news">${words}</p><${Responses} responses=${responses} /></div>`;
}

// ------------------------------------------------------------------ setting it up

/** @typedef {{ symbols: string, lean: string, rounds: number, gap_s: number, voice: boolean, by_turns: boolean }} Draft */

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function SetUp({ change }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const before = useConsole((state) => state.exercise);
  const findings = useConsole((state) => state.findings);
  const [chosen, setChosen] = useState(/** @type {Partial<Draft>} */ ({}));
  const told = before?.kind === 'named' ? /** @type {NamedForConsole} */ (before.shown).responses.filter((one) => verdict(one) !== '').map(({ sign }) => sign) : [];
  const pairs = (findings?.evening.pairs ?? []).flatMap(({ sent, written }) => [sent, written]);
  const lean = inTableOrder([...new Set([...told, ...pairs])].filter((sign) => known.includes(sign)).join('')).join('');
  /** @type {Draft} */
  const draft = { symbols: known, lean, rounds: 24, gap_s: 3, voice: false, by_turns: false, ...chosen };
  const put = (/** @type {Partial<Draft>} */ part) => setChosen({ ...chosen, ...part });
  useEffect(() => change([...draft.symbols].length > 1 ? { ...draft } : null), [JSON.stringify(draft)]);
  return html`<div class="named-setup">
    <p class="label">Sounds: ${[...draft.symbols].length === 0 ? 'choose two or more' : listed([...inTableOrder(draft.symbols)])}</p>
    <${Palette} label="Sounds in these rounds" chosen=${draft.symbols} known=${known} onToggle=${(/** @type {string} */ sign) => put({ symbols: toggled(draft.symbols, sign) })} />
    <details><summary>${draft.lean === '' ? 'All about equally often' : `${listed([...draft.lean])} twice as often`}</summary>
      <${Palette} label="Twice as often" chosen=${draft.lean} only=${draft.symbols} onToggle=${(/** @type {string} */ sign) => put({ lean: toggled(draft.lean, sign) })} /></details>
    <div class="compose-line">
      <label class="inline-field">Rounds <input class="input" type="number" min="4" max="60" value=${draft.rounds}
        onChange=${numbered((rounds) => put({ rounds: Math.round(Math.min(60, Math.max(4, rounds))) }))} /></label>
      <label class="inline-field">Gap <input class="input" type="number" min="1" max="10" step="0.5" value=${draft.gap_s}
        onChange=${numbered((gap) => put({ gap_s: Math.min(10, Math.max(1, gap)) }))} /> s</label>
    </div>
    <${Choice} label="Who answers" shown value=${draft.by_turns ? 'turns' : 'all'} options=${/** @type {const} */ ([['all', 'All together'], ['turns', 'By turns']])}
      onChoose=${(/** @type {string} */ who) => put({ by_turns: who === 'turns' })} />
    <${Choice} label="The name comes" shown value=${draft.voice ? 'voice' : 'screen'} options=${/** @type {const} */ ([['screen', 'On the screens'], ['voice', 'By my voice']])}
      onChoose=${(/** @type {string} */ how) => put({ voice: how === 'voice' })} />
  </div>`;
}
