/** At the key: one sends by hand, the others copy. What a learner, the console and the wall see of it, and how it is set up. */
import { html, useMemo } from '../../vendor/preact.js';
import { isSounding, phaseAt } from '../core/moment.js';
import { createSidetone } from '../shell/sidetone.js';
import { useDesk } from '../view/console/desk.js';
import { usePage, useSettings } from '../view/learner/context.js';
import { HandOver, SkipTurn, TurnStrip } from '../view/parts/turns.js';
import { useTicking } from '../view/parts/use_store.js';
import { Hand } from './key/hand.js';
import { Lines, lostIn } from './key/lines.js';
import { Sender } from './key/own.js';
import { KeySetUp } from './key/setup.js';

/** @import { HandOut, KeyForConsole, KeyForLearner, KeyForWall, TurnForAll, TurnResult } from '../wire.js' */
/** @import { RunDetail } from '../core/moment.js' */
/** @import { Given, Setup } from '../view/parts/exercise.js' */
/** @import { Send } from '../core/messages.js' */

/** What came of the last turn gives way to the next one so long before it starts. */
const CLEARED_MS = 4000;

/** @param {number} count @param {string} one @param {string} many */
const counted = (count, one, many) => `${count === 0 ? 'nobody' : count} ${count > 1 ? many : one}`;

/** Whether the turn at hand, or its count-in, is on. @param {TurnForAll} now @param {number} roomMs */
const isOn = ({ stage, start_room_ms: start }, roomMs) => stage === 'keying' && roomMs >= start - CLEARED_MS;

/** @param {Given & { shown: KeyForLearner }} props */
export function Learner({ shown, run, send = () => false, seat = 0, sheet, roomMs }) {
  const on = useTicking(() => isOn(shown.now, roomMs()), 200);
  const sends = shown.now.seat === seat;
  const result = shown.result !== null && !on && shown.now.stage !== 'writing' ? shown.result : null;
  return html`<div class="at-key">
    <${Turns} now=${shown.now} place=${shown.place} sends=${sends} />
    ${result !== null ? html`<${Result} result=${result} own=${result.seat === seat} send=${send} />`
      : sends ? html`<${Own} shown=${shown} run=${run} send=${send} roomMs=${roomMs} />`
      : sheet ? html`<div class="key-sheet">${sheet}</div>` : html`<main class="key-page"><h1>${shown.now.sender} sends</h1><p>Listen. You copy from the next turn on.</p></main>`}
    <${Coming} shown=${shown} own=${sends} roomMs=${roomMs} />
  </div>`;
}

/** @param {{ shown: KeyForLearner, run: number, send: Send, roomMs: () => number }} props */
function Own({ shown, run, send, roomMs }) {
  if (shown.now.stage === 'keying') return html`<${Sender} key=${shown.now.turn} shown=${shown} run=${run} send=${send} roomMs=${roomMs} />`;
  return html`<main class="key-page"><h1>Sent</h1><p>The others finish their copies. Then you see your hand.</p></main>`;
}

/** @param {{ now: TurnForAll, place: number, sends: boolean }} props */
function Turns({ now, place, sends }) {
  const over = now.stage === 'over';
  return html`<${TurnStrip} places=${[
    { is: 'key', word: over ? 'all have sent' : 'sends', who: over ? '' : now.sender, own: sends && !over },
    { is: 'sheet', word: 'copy', who: over ? 'nobody now' : counted(now.copiers, 'other', 'others'), own: !sends && !over },
    { is: 'ring', word: 'then', who: place === 1 ? 'you' : now.next[0] ?? 'nobody' },
  ]} />`;
}

const ORDINALS = ['', 'next', 'second', 'third', 'fourth', 'fifth', 'sixth'];

/** What comes, and when: the band at the foot. @param {{ shown: KeyForLearner, own: boolean, roomMs: () => number }} props */
function Coming({ shown: { now, place }, own, roomMs }) {
  const left = useTicking(() => Math.max(0, Math.ceil((now.start_room_ms - roomMs()) / 1000)), 200);
  if (now.stage === 'over') return html`<p class="key-coming">All have sent. Your instructor goes on.</p>`;
  if (now.paused) return html`<p class="key-coming">Paused. No key is heard now.</p>`;
  if (now.held) return html`<p class="key-coming">${now.sender} is away; the turn is held.</p>`;
  if (now.stage === 'keying' && left > 0) {
    return html`<p class="key-coming"><strong>${own ? `You send, ${counted(now.copiers, 'copies', 'copy')}` : `${now.sender} sends, you copy`}</strong> <span>starts in ${left} s</span></p>`;
  }
  if (!own && now.late > 0 && now.stage === 'keying') return html`<p class="key-coming soft">Some of it came too late to be heard. It counts for nobody.</p>`;
  if (own || place < 1) return null;
  return html`<p class="key-coming soft">Your turn at the key comes ${ORDINALS[place] ?? `after ${place - 1} others`}.</p>`;
}

/** @param {{ result: TurnResult, own: boolean, send: Send }} props */
function Result({ result, own, send }) {
  const who = own || result.of === 0 ? '' : 'yours';
  const heading = own ? 'Your fist' : result.of === 0 ? `What ${result.sender} sent` : `${result.right} of ${result.of} heard right`;
  const show = (/** @type {boolean} */ on) => send('show_fist', { turn: result.turn, on });
  return html`<main class="key-page">
    <div class="key-head"><h1>${result.columns.length === 0 ? 'Nothing was sent' : heading}</h1>
      ${!own && result.of > 0 && html`<p class="soft">against what was keyed, whatever was meant</p>`}</div>
    ${own && result.hand !== null && html`<${HeardHand} hand=${result.hand} whose="Your fist" />
      <p><button type="button" class="button" data-size="small" aria-pressed=${result.hand_shown ? 'true' : 'false'}
        onClick=${() => show(!result.hand_shown)}>${result.hand_shown ? 'The others see it' : 'Show it to the others'}</button></p>`}
    ${result.columns.length > 0 && html`<${Lines} columns=${result.columns} who=${who} />`}
    ${!own && result.hand !== null && html`<${HeardHand} hand=${result.hand} whose=${`The hand of ${result.sender}, which may be seen`} />`}
  </main>`;
}

/** On a learner's page a hand can be heard. @param {{ hand: HandOut, whose: string }} props */
function HeardHand({ hand, whose }) {
  const { store } = usePage();
  const volume = useSettings((settings) => settings.volume);
  const ownHz = useSettings((settings) => settings.pitchHz);
  const hear = useHearing(volume, () => ownHz ?? store.get().class?.pitch_hz ?? 600);
  return html`<${Hand} hand=${hand} whose=${whose} hear=${hear} />`;
}

/** And on the console, while the class hears nothing. @param {{ hand: HandOut, whose: string, run: RunDetail | null }} props */
function HandAtConsole({ hand, whose, run }) {
  const { roomMs, sound } = useDesk();
  const classSounds = useTicking(() => run !== null && isSounding(phaseAt(run, roomMs())) && run.phase !== 'paused');
  const hear = useHearing(sound.status().volume, () => run?.pitch_hz ?? 600);
  return html`<${Hand} hand=${hand} whose=${whose} hear=${classSounds ? undefined : hear} />
    ${classSounds && html`<p class="soft">It can be heard here when nobody is at the key.</p>`}`;
}

/** Sounds tones on this page alone. @param {number} volume @param {() => number} pitchHz */
function useHearing(volume, pitchHz) {
  const sidetone = useMemo(() => ({ current: /** @type {ReturnType<typeof createSidetone> | null} */ (null) }), []);
  return (/** @type {number[]} */ edges) => {
    sidetone.current ??= createSidetone({ volume, pitchHz: pitchHz() });
    sidetone.current.wake().then((awake) => awake && sidetone.current?.play(edges), () => {});
  };
}

/** @param {Given & { shown: KeyForConsole }} props */
export function Console({ shown, roomMs, send = () => false, seats = [], parts = {}, detail }) {
  const { now, result, queue, text } = shown;
  const line = useTicking(() => lineOf(now, roomMs(), detail?.phase ?? ''), 200);
  const own = result !== null && result.turn === now.turn;
  const push = Math.max(0, ...Object.keys(parts).map(Number));
  const copies = parts[push]?.progress?.copies ?? [];
  const named = (/** @type {number} */ seat) => seats.find((other) => other.seat === seat)?.name ?? 'somebody';
  return html`<section class="key-console">
    <p class="soft">${line}</p>
    ${now.stage !== 'over' && html`<div class="actions">
      <${SkipTurn} send=${send} words=${now.stage === 'keying' ? 'Skip this turn' : 'Next turn now'} />
      ${now.stage === 'keying' && now.seat > 0 && html`<${HandOver} send=${send} seat=${now.seat} name=${`${now.sender}’s turn`} seats=${seats} />`}
    </div>`}
    ${!own && text !== '' && now.stage === 'keying' && html`<p class="soft">meant: <span class="sign">${text}</span></p>`}
    ${now.late > 0 && html`<p><strong>${counted(now.late, 'tone', 'tones')} came too late to be heard by all.</strong></p>`}
    ${now.stage === 'keying' && copies.length > 0 && html`<p class="soft">${copies.filter(({ written }) => written > 0).length} of ${copies.length} are writing.</p>`}
    ${result !== null && html`<${Findings} result=${result} send=${send} run=${detail ?? null} />`}
    ${queue.length > 0 && html`<p class="soft">Then: ${queue.map(named).join(', ')}</p>`}
  </section>`;
}

/** Whose turn it is: the card's heading. @param {{ shown: KeyForConsole }} props */
export const Title = ({ shown: { now } }) => (now.stage === 'over' ? 'All have sent' : `${now.sender} sends, ${counted(now.copiers, 'copies', 'copy')}`);

/** @param {TurnForAll} now @param {number} roomMs @param {string} phase  of the exercise */
function lineOf(now, roomMs, phase) {
  const left = Math.ceil((now.start_room_ms - roomMs) / 1000);
  if (phase === 'revealed') return 'Shown: each sees their own copies.';
  if (phase === 'closed') return 'Show it, so that each sees their own copies.';
  if (now.stage === 'over') return 'Close and show, so that each sees their own copies.';
  if (now.paused) return 'Paused: no key is heard.';
  if (now.stage === 'writing') return 'Sent. The others finish their copies.';
  if (now.stage === 'shown') return 'What came of it is shown.';
  if (now.held) return `${now.sender} is away: the turn is held. Hand it over, or skip it.`;
  return left > 0 ? `starts in ${left} s` : `at the key now; all hear it ${(now.delay_ms / 1000).toFixed(1)} s later, in step`;
}

/** What came of a turn. @param {{ result: TurnResult, send: Send, run: RunDetail | null }} props */
function Findings({ result, send, run }) {
  const of = Math.max(0, ...result.columns.map(({ most, right }) => Math.max(most, right)));
  const lost = lostIn(result.columns, of);
  if (result.columns.length === 0) return html`<p class="soft">In turn ${result.turn} nothing was sent.</p>`;
  return html`<h3>${result.sender}: meant, keyed, copied</h3>
    <${Lines} columns=${result.columns} who="copied" of=${of} />
    <div class="key-went"><h4>Where it went</h4>
      <p><strong>${lost.sending.length}</strong> in the sending${lost.sending.length > 0 && html`<span class="soft">: ${lost.sending.join(', ')}</span>`}</p>
      <p><strong>${of === 0 ? 'No copies yet' : lost.copying.length}</strong>${of > 0 && ' in the copying'}${lost.copying.length > 0 && html`<span class="soft">: ${lost.copying.join('; ')}</span>`}</p></div>
    ${result.hand !== null && html`<details><summary>The hand of ${result.sender}: only they and you see it${result.hand_shown ? ', and now the others' : ''}</summary>
      <${HandAtConsole} hand=${result.hand} whose=${`The hand of ${result.sender}`} run=${run} />
      <button type="button" class="button" data-size="small" aria-pressed=${result.hand_shown ? 'true' : 'false'}
        onClick=${() => send('show_fist', { seat: result.seat, turn: result.turn, on: !result.hand_shown })}>${result.hand_shown ? 'Show it no more' : 'Show it to all'}</button></details>`}`;
}

/** @param {Given & { shown: KeyForWall }} props */
export function Wall({ shown: { now, hand }, roomMs }) {
  const left = useTicking(() => Math.max(0, Math.ceil((now.start_room_ms - roomMs()) / 1000)), 200);
  const words = now.stage === 'over' ? 'All have sent' : now.paused ? 'A short pause' : `${now.sender} sends`;
  const line = now.stage === 'over' || now.paused ? '' : now.stage === 'keying' && left > 0 ? `starts in ${left} s` : now.held ? 'The turn is held.'
    : now.stage === 'keying' ? 'Write what you hear. Missed one? Blank, and on.' : 'Finish your copies.';
  return html`<main class="wall">
    <header><h1>${words}</h1></header>
    <div class="wall-middle">${hand !== null && now.stage !== 'writing' && (left > 0 || now.stage === 'over')
      ? html`<${Hand} hand=${hand} whose="A hand that may be seen" />` : html`<p class="wall-quiet">${line}</p>`}</div>
    <footer><p>${[hand !== null && left > 0 && line, now.next.length > 0 ? `Then ${now.next.join(', ')}` : 'Nobody after that'].filter(Boolean).join('. ')}</p></footer>
  </main>`;
}

/** @param {{ setup: Setup | null, change: (setup: Setup | null) => void }} props */
export function SetUp(props) {
  return html`<${KeySetUp} ...${props} />`;
}
