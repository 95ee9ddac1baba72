/** The odd one: a hand when another sound comes. What a learner, the console and the wall see of it, and how it is set up. */
import { html, useEffect, useReducer, useRef, useState } from '../../vendor/preact.js';
import { inTableOrder } from '../core/alphabet.js';
import { handAt, left, placesOf, rowAt } from '../core/hands.js';
import { runOf } from '../core/learner_state.js';
import { begunAt, clockFace, isInSound, isSoundOver, secondsLeft, symbolAt } from '../core/moment.js';
import { keepLate } from '../shell/late.js';
import { onDevice } from '../shell/storage.js';
import { useConsole } from '../view/console/desk.js';
import { HearBoth } from '../view/console/hear_both.js';
import { useLearner, useMoment, usePage, usePhase } from '../view/learner/context.js';
import { numbered, typed } from '../view/parts/fields.js';
import { Sign, spoken } from '../view/parts/sign.js';
import { TurnStrip } from '../view/parts/turns.js';
import { useTicking } from '../view/parts/use_store.js';

/** @import { OddForConsole, OddForLearner, OddForWall, OddLine, OddRow, OddSetup } from '../wire.js' */
/** @import { Given, Setup } from '../view/parts/exercise.js' */
/** @import { Waiting } from '../core/hands.js' */

const AGAIN_AFTER_MS = 2000;
const HAND = 'M8 13V6a1.5 1.5 0 0 1 3 0v5V4.5a1.5 1.5 0 0 1 3 0V11 6a1.5 1.5 0 0 1 3 0v6-3a1.5 1.5 0 0 1 3 0v6a7 7 0 0 1-7 7c-3 0-4.5-1.5-6-4l-2.7-4.3a1.5 1.5 0 0 1 2.4-1.7z';

const HandMark = () => html`<svg class="odd-hand" viewBox="0 0 24 24" aria-hidden="true"><path d=${HAND} /></svg>`;

/** @param {{ odd: string, often: string }} props */
const PairName = ({ odd, often }) => html`<span class="odd-pair"><${Sign} sign=${odd} /> among <${Sign} sign=${often} /></span>`;

// ------------------------------------------------------------------ a learner

/** @param {Given & { shown: OddForLearner }} props */
export function Learner({ shown, run, send }) {
  const phase = usePhase();
  const { places, raise } = useHands(shown, run, send);
  const isShown = shown.rows.length > 0;
  useSpaceBar(isShown ? null : raise);
  if (isShown) return html`<${Result} shown=${shown} />`;
  const isOver = isSoundOver(phase);
  return html`<main class="writing odd">
    <${TurnStrip} places=${[{ is: 'key', word: 'sends', who: 'machine' }, { is: 'sheet', word: 'listens', who: '', own: true }, { is: 'ring', word: 'writes', who: 'nobody' }]} />
    <${Words} phase=${phase} isOver=${isOver} />
    <${Places} lengths=${shown.lengths} places=${places} />
    <${Field} lengths=${shown.lengths} places=${places} raise=${raise} isOver=${isOver} />
    <p class="soft odd-foot">${isOver ? 'You see it when your instructor shows it.' : 'Raised by mistake? Leave it, and listen on.'}</p>
  </main>`;
}

/** @param {{ phase: string, isOver: boolean }} props */
function Words({ phase, isOver }) {
  const inSeconds = useMoment((run, roomMs) => secondsLeft(run.start_room_ms - roomMs), 0);
  const title = isOver ? 'That was the last sound' : phase === 'paused' ? 'Paused'
    : phase === 'counting in' && inSeconds > 0 ? `It starts in ${inSeconds}` : 'Hand up when it is another sound';
  const line = isOver ? 'Nothing is written in this.' : phase === 'paused' ? 'It goes on when your instructor says so.'
    : phase === 'counting in' ? 'One sound, again and again. Hand up when it is another one.' : 'Which ones they are, you see at the end.';
  return html`<div class="writing-head"><div><h1>${title}</h1><p class="soft">${line}</p></div></div>`;
}

/**
 * The own hands: kept on this device until the server has them, so that none is lost, and none counted twice.
 * @param {OddForLearner} shown
 * @param {number} push
 * @param {Given['send']} send
 */
function useHands(shown, push, send) {
  const { store, roomMs } = usePage();
  const key = useLearner(({ code, seat }) => `hands.${code}.${seat?.number}`);
  const kept = useRef(/** @type {Waiting | null} */ (null));
  const [, drawAgain] = useReducer((/** @type {number} */ n) => n + 1, 0);
  const waiting = left(kept.current ?? onDevice.read(key), push, shown.hands);
  if (shown.rows.length > 0) waiting.hands = []; // after the end a hand is no answer any more
  kept.current = waiting;
  const places = placesOf(shown.hands, waiting.hands);
  const keep = (/** @type {Waiting} */ now) => {
    const { code, seat } = store.get();
    onDevice.write(key, now);
    keepLate(code, seat?.number ?? 0, 'raise_hand', push, now.hands.map(({ at_ms }) => ({ push, at_ms })));
  };
  useEffect(() => keep(waiting), [waiting.hands.length, shown]);
  useEffect(() => {
    const again = setInterval(() => kept.current?.hands.forEach(({ at_ms }) => send?.('raise_hand', { push, at_ms })), AGAIN_AFTER_MS);
    return () => clearInterval(again);
  }, [push]);
  const raise = () => {
    const run = runOf(store.get());
    const hand = run?.push === push ? handAt(run, shown.lengths, roomMs()) : null;
    const now = kept.current ?? waiting;
    if (hand === null || placesOf(shown.hands, now.hands).has(hand.place)) return;
    kept.current = { push, hands: [...now.hands, hand] };
    keep(kept.current);
    send?.('raise_hand', { push, at_ms: hand.at_ms });
    drawAgain(undefined);
  };
  return { places, raise };
}

/** The space bar raises a hand wherever the focus is, but in a text field and in a dialog. @param {(() => void) | null} raise */
function useSpaceBar(raise) {
  const latest = useRef(raise);
  latest.current = raise;
  useEffect(() => {
    const onKey = (/** @type {KeyboardEvent} */ event) => {
      const inField = event.target instanceof Element && event.target.closest('input, textarea, select') !== null;
      if (event.key !== ' ' || latest.current === null || inField || document.querySelector('dialog[open]') !== null) return;
      event.preventDefault(); // it would press the button that has the focus
      if (event.type === 'keydown' && !event.repeat) latest.current();
    };
    document.addEventListener('keydown', onKey);
    document.addEventListener('keyup', onKey);
    return () => {
      document.removeEventListener('keydown', onKey);
      document.removeEventListener('keyup', onKey);
    };
  }, []);
}

/** As many places as the row has sounds, the own hands above them. @param {{ lengths: number[], places: Set<number> }} props */
function Places({ lengths, places }) {
  const begun = useMoment((run, roomMs) => begunAt(run, roomMs), 0);
  const now = useMoment((run, roomMs) => (isInSound(run, roomMs) ? symbolAt(run, roomMs) : -1), -1);
  const { row, first, length } = rowAt(lengths, Math.max(0, begun - 1));
  const words = begun === 0 ? `${lengths.length} ${lengths.length === 1 ? 'row' : 'rows'} of ${length} sounds`
    : `Sound ${begun - first} of ${length}, row ${row + 1} of ${lengths.length}`;
  return html`<div class="odd-row">
    <div class="odd-places sheet" aria-hidden="true">
      ${Array.from({ length }, (_, i) => first + i).map((place) => html`<span class="odd-place" key=${place}
        data-is=${place === now ? 'now' : place < begun ? 'past' : 'to come'} data-hand=${places.has(place) ? '' : undefined}>
        ${places.has(place) && html`<${HandMark} />`}<i></i></span>`)}
    </div>
    <p class="soft odd-how">${words}${[...places].some((place) => place >= first && place < first + length) ? '; your hands above' : ''}</p>
  </div>`;
}

/** As big as a palm. @param {{ lengths: number[], places: Set<number>, raise: () => void, isOver: boolean }} props */
function Field({ lengths, places, raise, isOver }) {
  const isUp = useMoment((run, roomMs) => places.has(handAt(run, lengths, roomMs)?.place ?? -1), false);
  const pressed = useRef(false);
  // A finger counts as it comes down. A click without one is the keyboard's Enter, or a screen reader's.
  const down = () => {
    pressed.current = true;
    raise();
  };
  const click = () => {
    if (!pressed.current) raise();
    pressed.current = false;
  };
  return html`<button type="button" class="odd-field" disabled=${isOver} data-up=${isUp ? '' : undefined}
    onPointerDown=${down} onPointerCancel=${() => (pressed.current = false)} onClick=${click}>
    <${HandMark} /><span class="odd-up">${isUp ? 'Your hand is up' : 'Hand up'}</span>
    <span class="soft odd-how">anywhere in this field, or <kbd class="kbd">space</kbd></span>
  </button>`;
}

/** Where the odd ones were, and the own hands. @param {{ shown: OddForLearner }} props */
function Result({ shown }) {
  const hands = placesOf(shown.hands, []);
  const unheard = new Set(shown.unheard);
  const odd = shown.rows.flatMap(({ odd_at: at }) => at).filter((place) => !unheard.has(place));
  const hits = odd.filter((place) => hands.has(place)).length;
  const others = [...hands].filter((place) => !odd.includes(place) && !unheard.has(place)).length;
  return html`<main class="writing odd">
    <div class="writing-head"><div><h1>${odd.length === 0 ? 'You heard no odd one' : `${hits} of ${odd.length} odd ones`}</h1>
      <p class="soft">${others === 0 ? 'No hand at another sound.' : `${others} ${others === 1 ? 'hand' : 'hands'} at another sound.`} The odd ones stand in a box, your hands above.</p></div></div>
    <ul role="list" class="odd-result">${shown.rows.map((row, i) => html`<${ResultRow} key=${i} row=${row} number=${i} lengths=${shown.lengths} hands=${hands} unheard=${unheard} />`)}</ul>
  </main>`;
}

/** @param {{ row: OddRow, number: number, lengths: number[], hands: Set<number>, unheard: Set<number> }} props */
function ResultRow({ row, number, lengths, hands, unheard }) {
  const first = lengths.slice(0, number).reduce((sum, length) => sum + length, 0);
  const places = Array.from({ length: lengths[number] }, (_, i) => first + i);
  if (places.every((place) => unheard.has(place))) return null;
  return html`<li><p><${PairName} odd=${row.odd} often=${row.often} /></p>
    <ol role="list" class="odd-places sheet">${places.map((place) => {
      const isOdd = row.odd_at.includes(place);
      const sign = isOdd ? row.odd : row.often;
      return html`<li class="odd-place" key=${place} data-odd=${isOdd ? '' : undefined} data-unheard=${unheard.has(place) ? '' : undefined} data-hand=${hands.has(place) ? '' : undefined}>
        ${hands.has(place) && html`<${HandMark} />`}<span aria-hidden="true"><${Sign} sign=${sign} /></span>
        <span class="unseen">${spoken(sign)}${isOdd ? ', the odd one' : ''}${hands.has(place) ? ', your hand' : ''}${unheard.has(place) ? ', not sounded here' : ''}</span></li>`;
    })}</ol></li>`;
}

// ------------------------------------------------------------------ the console

/** @param {Given & { shown: OddForConsole }} props */
export function Console({ shown, detail, roomMs, seats = [] }) {
  const now = useTicking(() => (detail && isInSound(detail, roomMs()) ? symbolAt(detail, roomMs()) : -1), 100);
  const begun = useTicking(() => (detail ? begunAt(detail, roomMs()) : 0), 200);
  const [chosen, setChosen] = useState('');
  const at = chosen === '' ? rowAt(shown.lengths, Math.max(0, begun - 1)).row : Number(chosen);
  const first = shown.lengths.slice(0, at).reduce((sum, length) => sum + length, 0);
  const { odd, often, odd_at: oddAt } = shown.rows[at];
  const places = Array.from({ length: shown.lengths[at] }, (_, i) => first + i);
  const most = Math.max(1, ...shown.hands);
  return html`<div class="odd-console">
    ${shown.lines.length === 0 && html`<${Roles} seats=${seats} />`}
    <div class="odd-ribbon-head"><h3>Row ${at + 1} of ${shown.rows.length}: <${PairName} odd=${odd} often=${often} /></h3>
      ${shown.rows.length > 1 && html`<label class="inline-field">look at <select class="input" value=${chosen} onChange=${typed(setChosen)}>
        <option value="">the row at hand</option>
        ${shown.rows.map((row, i) => html`<option key=${i} value=${i}>row ${i + 1}: ${row.odd} among ${row.often}</option>`)}</select></label>`}</div>
    <ol role="list" class="odd-ribbon" style=${{ '--sounds': places.length }}>${places.map((place) => html`<li key=${place} data-odd=${oddAt.includes(place) ? '' : undefined}
        data-is=${place === now ? 'now' : place < begun ? 'past' : 'to come'}>
      <b>${shown.hands[place] > 0 ? shown.hands[place] : place < begun && html`<span aria-hidden="true">·</span><span class="unseen">no hand</span>`}</b>
      <span class="odd-bar" style=${{ '--share': shown.hands[place] / most }}></span>
      <span class="odd-sign"><${Sign} sign=${oddAt.includes(place) ? odd : often} />${oddAt.includes(place) && html`<span class="unseen"> the odd one</span>`}</span>
    </li>`)}</ol>
    <p class="soft odd-legend"><span data-of="hits">hands at the odd one</span> <span data-of="alarms">false alarms</span> <span data-of="odd">the odd one</span></p>
    ${shown.lines.length > 0 && html`<${Lines} shown=${shown} />`}
  </div>`;
}

/** Who sends, listens, and cannot. @param {{ seats: NonNullable<Given['seats']> }} props */
function Roles({ seats }) {
  const here = seats.filter((seat) => seat.here && seat.inside && seat.device);
  const without = here.filter(({ sound }) => sound !== 'on').map(({ name }) => name);
  return html`<p class="soft">The machine sends, ${here.length - without.length} listen, nobody writes.
    ${without.length > 0 && html` <strong class="odd-without">Sound not on: ${without.join(', ')}.</strong>`}</p>`;
}

/** A line a pair; the class, not persons. @param {{ shown: OddForConsole }} props */
function Lines({ shown: { lines, listened, silent } }) {
  const sure = lines.filter(({ enough, odd }) => enough && odd !== '');
  const worst = sure.reduce((/** @type {OddLine | null} */ found, line) => (found === null || line.low < found.low ? line : found), null);
  return html`<div class="odd-lines"><table>
      <caption>Told apart <span class="soft">all ${listened} who listened taken as one listener; a row's first sound is left out${silent > 0 ? `; ${silent} never raised a hand` : ''}</span></caption>
      <thead><tr><th scope="col">pair</th><th scope="col">hits</th><th scope="col">false alarms</th>
        <th scope="col">told apart: d′ with its bounds</th><th scope="col">hand after the sound’s end</th></tr></thead>
      <tbody>${lines.map((line) => html`<${Line} key=${line.odd + line.often} line=${line} />`)}</tbody>
    </table>
    ${worst !== null && html`<p class="odd-worst"><span><${PairName} odd=${worst.odd} often=${worst.often} /> is told apart least surely: d′ ${worst.d.toFixed(1)}, bounds
      ${' '}${worst.low.toFixed(1)} to ${worst.high.toFixed(1)}.</span> <${HearBoth} sent=${worst.odd} written=${worst.often} /></p>`}
  </div>`;
}

/** @param {{ line: OddLine }} props */
function Line({ line }) {
  return html`<tr><th scope="row">${line.odd === '' ? 'all pairs' : html`<${PairName} odd=${line.odd} often=${line.often} />`}</th>
    <td><b>${line.hits}</b> of ${line.of_odd}</td><td><b>${line.alarms}</b> of ${line.of_same}</td>
    <td>${line.enough ? html`<${Bounds} line=${line} /> <b>${line.d.toFixed(1)}</b> <span class="soft">${line.low.toFixed(1)} to ${line.high.toFixed(1)}</span>`
      : html`<span class="soft">not enough yet</span>`}</td>
    <td>${line.median_s === null ? html`<span class="soft">no hit yet</span>` : html`<${Reactions} line=${line} /> <b>${line.median_s.toFixed(2)} s</b>`}</td></tr>`;
}

const WIDE = 120;
/** @param {number} value @param {number} low @param {number} high */
const along = (value, low, high) => (WIDE * (Math.min(high, Math.max(low, value)) - low)) / (high - low);

/** From -1 to 5. @param {{ line: OddLine }} props */
function Bounds({ line: { d, low, high } }) {
  const [from, to, mark] = [low, high, d].map((value) => along(value, -1, 5));
  return html`<svg class="odd-glyph" viewBox=${`0 0 ${WIDE} 16`} aria-hidden="true"><path class="odd-axis" d=${`M0 8H${WIDE}`} />
    <rect class="odd-band" x=${from} y="4" width=${Math.max(2, to - from)} height="8" rx="3" /><path class="odd-mark" d=${`M${mark} 1V15`} /></svg>`;
}

/** Each dot a hand, the median marked; from 0 to 2 s. @param {{ line: OddLine }} props */
function Reactions({ line: { reactions_s: reactions, median_s: median } }) {
  return html`<svg class="odd-glyph" viewBox=${`0 0 ${WIDE} 16`} aria-hidden="true"><path class="odd-axis" d=${`M0 8H${WIDE}`} />
    ${reactions.map((seconds, i) => html`<circle key=${i} class="odd-dot" cx=${along(seconds, 0, 2)} cy=${8 + ((i % 3) - 1) * 3} r="1.6" />`)}
    <path class="odd-mark" d=${`M${along(median ?? 0, 0, 2)} 1V15`} /></svg>`;
}

// ------------------------------------------------------------------ the wall

/** @param {Given & { shown: OddForWall }} props */
export function Wall({ shown, roomMs }) {
  const begun = useTicking(() => shown.starts_room_ms.filter((startMs) => startMs <= roomMs()).length, 100);
  const isOver = useTicking(() => shown.stage === 'stopped' || shown.stage === 'closed' || roomMs() >= shown.end_room_ms, 200);
  const inSeconds = useTicking(() => secondsLeft(shown.starts_room_ms[0] - roomMs()), 200);
  const { row, first, length } = rowAt(shown.lengths, Math.max(0, begun - 1));
  if (shown.stage === 'revealed') return html`<${WallResult} lines=${shown.lines} />`;
  return html`<main class="wall">
    <header><h1>${isOver ? 'That was the last sound' : shown.stage === 'paused' ? 'A short pause' : 'Raise your hand when another one comes'}</h1></header>
    <div class="wall-middle">
      <p class="wall-number">${begun > 0 ? html`${begun - first}<small class="odd-of"> of ${length}</small>` : Number.isNaN(inSeconds) ? '' : inSeconds}</p>
      <p class="wall-quiet">${begun > 0 ? `row ${row + 1} of ${shown.lengths.length}` : 'One sound, again and again. Nothing is written.'}</p>
    </div>
    <footer><p class="soft">The space bar, or anywhere in the field.</p></footer>
  </main>`;
}

/** @param {{ lines: readonly OddLine[] }} props */
function WallResult({ lines }) {
  return html`<main class="wall"><header><h1>What stood out</h1></header>
    <table class="odd-wall"><thead><tr><th scope="col"><span class="unseen">pair</span></th><th scope="col">hands in time</th><th scope="col">hands at the others</th></tr></thead>
      <tbody>${lines.filter(({ odd }) => odd !== '').map((line) => html`<tr key=${line.odd + line.often}>
        <th scope="row"><${PairName} odd=${line.odd} often=${line.often} /></th>
        <td><b>${line.hits}</b> of ${line.of_odd}</td><td><b>${line.alarms}</b> of ${line.of_same}</td></tr>`)}</tbody></table>
    <footer><p class="soft">All hands together.</p></footer></main>`;
}

// ------------------------------------------------------------------ setting it up

const ROWS = [1, 2, 3, 4, 6];
const SOUNDS = [8, 10, 12, 16, 20];
const GAPS_S = [0.8, 1.2, 1.8, 2.5];
const MOST_PAIRS = 8;
/** About what a sound and the pause after a row take. */
const SOUND_S = 0.6;
const ROW_PAUSE_S = 2.5;

/** Both ways round. @param {string} pair */
const both = (pair) => [pair, [...pair].reverse().join('')];

/** What this class mixes up, tonight or else over the course; each two sounds once. @returns {readonly string[]} */
function useMixedUp() {
  const findings = useConsole((state) => state.findings);
  const found = [findings?.evening, findings?.course].find((scope) => scope !== undefined && scope.pairs.length > 0)?.pairs ?? [];
  return [...new Set(found.map(({ sent, written }) => inTableOrder(sent + written).join('')))];
}

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function SetUp({ setup, change }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const mixedUp = useMixedUp();
  const canBegin = mixedUp.length > 0 || known.length > 1;
  useEffect(() => {
    if (setup === null && canBegin) change({ pairs: mixedUp.slice(0, 2).flatMap(both), rows: 2, sounds: 12, gap_s: 1.2 });
  }, [canBegin]);
  if (setup === null) return html`<p class="help">Two sounds must be known to be told apart. Introduce some first.</p>`;
  const chosen = /** @type {OddSetup} */ (/** @type {unknown} */ (setup));
  const put = (/** @type {Partial<OddSetup>} */ part) => change({ ...setup, ...part });
  const rows = chosen.rows * (chosen.pairs.length || 2);
  const minutes = clockFace(1000 * rows * (chosen.sounds * (SOUND_S + chosen.gap_s) + ROW_PAUSE_S));
  return html`<div class="odd-setup">
    <${Pairs} pairs=${chosen.pairs} mixedUp=${mixedUp} known=${known} put=${(/** @type {string[]} */ pairs) => put({ pairs })} />
    <div class="compose-line">
      <${Pick} words="rows of each" value=${chosen.rows} of=${ROWS} choose=${(/** @type {number} */ n) => put({ rows: n })} />
      <${Pick} words="sounds in a row" value=${chosen.sounds} of=${SOUNDS} choose=${(/** @type {number} */ n) => put({ sounds: n })} />
      <${Pick} words="s between them" value=${chosen.gap_s} of=${GAPS_S} choose=${(/** @type {number} */ n) => put({ gap_s: n })} />
      <span class="help">${rows} rows, about ${minutes}</span>
    </div>
  </div>`;
}

/** @param {{ words: string, value: number, of: number[], choose: (value: number) => void }} props */
const Pick = ({ words, value, of, choose }) => html`<label class="inline-field"><select class="input" value=${value} onChange=${numbered(choose)}>
  ${of.map((number) => html`<option key=${number} value=${number}>${number}</option>`)}</select> ${words}</label>`;

/** @param {{ pairs: string[], mixedUp: readonly string[], known: string, put: (pairs: string[]) => void }} props */
function Pairs({ pairs, mixedUp, known, put }) {
  const signs = inTableOrder(known + pairs.join('') + mixedUp.join(''));
  const [own, setOwn] = useState({ odd: signs[0] ?? '', often: signs[1] ?? '' });
  const isNew = own.odd !== own.often && own.odd !== '' && !pairs.includes(own.odd + own.often) && pairs.length < MOST_PAIRS;
  const offered = mixedUp.flatMap(both).slice(0, MOST_PAIRS);
  const toggle = (/** @type {string} */ pair) => put(pairs.includes(pair) ? pairs.filter((one) => one !== pair) : [...pairs, pair].slice(0, MOST_PAIRS));
  return html`<fieldset class="field"><legend class="label">Pairs</legend>
    ${pairs.length === 0 && html`<p class="help">None chosen: it takes ${mixedUp.length > 0 ? 'what this class mixes up' : 'the two known sounds that are most alike'}, both ways round.</p>`}
    <div class="odd-chips">${[...new Set([...offered, ...pairs])].map((pair) => html`<button type="button" class="button" data-size="small" key=${pair} aria-pressed=${pairs.includes(pair) ? 'true' : 'false'}
      aria-label=${`${spoken(pair[0])} among ${spoken(pair[1])}`} onClick=${() => toggle(pair)}><${PairName} odd=${pair[0]} often=${pair[1]} /></button>`)}</div>
    <div class="compose-line"><${SignPick} words="another:" signs=${signs} value=${own.odd} choose=${(/** @type {string} */ odd) => setOwn({ ...own, odd })} />
      <${SignPick} words="among" signs=${signs} value=${own.often} choose=${(/** @type {string} */ often) => setOwn({ ...own, often })} />
      <button type="button" class="button" data-kind="bare" data-size="small" disabled=${!isNew} onClick=${() => put([...pairs, own.odd + own.often])}>Add</button></div>
  </fieldset>`;
}

/** @param {{ words: string, signs: readonly string[], value: string, choose: (sign: string) => void }} props */
const SignPick = ({ words, signs, value, choose }) => html`<label class="inline-field">${words} <select class="input" value=${value} onChange=${typed(choose)}>
  ${signs.map((sign) => html`<option key=${sign} value=${sign}>${sign}</option>`)}</select></label>`;
