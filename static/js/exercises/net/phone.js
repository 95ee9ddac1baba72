/** A station's page: its own part, what it has of the others', and what is expected now. */
import { html } from '../../../vendor/preact.js';
import { useTicking } from '../../view/parts/use_store.js';
import { TurnStrip } from '../../view/parts/turns.js';
import { Answering, Asking } from './asking.js';
import { Keying } from './keying.js';
import { Exchanges, Figures, PracticeCall } from './parts.js';
import { inPlace, Rows } from './rows.js';
import { between, CAUTION, counted, endInWords, turnInWords } from './words.js';

/** @import { NetForLearner } from '../../wire.js' */
/** @import { Given } from '../../view/parts/exercise.js' */

/** @param {Given & { shown: NetForLearner }} props */
export function NetOnPhone({ shown, run, send, roomMs, sheet }) {
  const calls = shown.rows.map(({ call }) => call);
  const sends = useTicking(() => between(shown.turn, roomMs(), shown.hand).sends, 200);
  return html`<div class="net">
    ${shown.station >= 0 && html`<p class="net-own"><${PracticeCall} call=${calls[shown.station]} />
      ${shown.own.length > 1 && html`<span class="soft">and ${shown.own.slice(1).map((i) => calls[i]).join(', ')}</span>`}</p>`}
    ${shown.phase !== 'complete' && html`<${Turns} shown=${shown} calls=${calls} sends=${sends} roomMs=${roomMs} />`}
    ${shown.phase === 'parts' ? html`<${BeingSent} shown=${shown} calls=${calls} sheet=${sheet} />`
      : shown.key !== null ? html`<${Keying} key=${shown.key.turn} shown=${shown} at=${shown.key} run=${run} send=${send} roomMs=${roomMs} />`
      : shown.phase === 'fills' ? html`<${Fills} key=${shown.receipted} shown=${shown} calls=${calls} send=${send} roomMs=${roomMs} />`
        : html`<${Complete} shown=${shown} />`}
    <p class="net-caution soft">${CAUTION}</p>
  </div>`;
}

/** @param {{ shown: NetForLearner, calls: readonly string[], sends: number, roomMs: () => number }} props */
function Turns({ shown, calls, sends, roomMs }) {
  const copies = useTicking(() => between(shown.turn, roomMs(), shown.hand).copies, 200);
  const isSent = shown.phase === 'parts';
  const sender = isSent ? shown.at : sends;
  const is = (/** @type {number} */ i) => i >= 0 && shown.own.includes(i);
  const rest = calls.filter((_, i) => i !== sender && (isSent || i !== copies) && !is(i)).join(', ');
  const beside = isSent ? 'all others' : copies >= 0 ? calls[copies] : shown.hand !== null ? 'all others' : 'nobody';
  return html`<${TurnStrip} places=${[
    { is: 'key', word: isSent ? (is(sender) ? 'your part' : 'its part') : 'sends', who: sender < 0 ? 'nobody' : calls[sender], own: is(sender) },
    { is: 'sheet', word: 'copies', who: beside, own: isSent ? !is(sender) : is(copies) },
    { is: 'ring', word: isSent ? 'then' : 'listen', who: isSent ? (calls[shown.at + 1] ?? 'questions') : rest || 'nobody', own: isSent ? is(shown.at + 1) : !is(sender) && !is(copies) && shown.turn !== null },
  ]} />`;
}

/** While the parts are sent: one's own is listened to, every other is copied. @param {{ shown: NetForLearner, calls: readonly string[], sheet: unknown }} props */
function BeingSent({ shown, calls, sheet }) {
  const row = shown.rows[shown.at];
  if (shown.own.includes(shown.at)) {
    return html`<main><h1>Your part is sent now</h1><p>The machine sends it for you, GR ${row.groups.length}. You have it; listen.</p>
      <p class="net-text sign">${row.groups.join(' ')}</p></main>`;
  }
  return html`<p class="net-now">Part ${shown.at + 1} of ${calls.length}, from <span class="sign">${calls[shown.at]}</span>: GR ${row.groups.length}</p>
    ${sheet ?? html`<main><h1>Get ready to copy</h1><p>${calls[shown.at]} sends ${counted(row.groups.length, 'group')}.</p></main>`}`;
}

/** @param {{ shown: NetForLearner, calls: readonly string[], send: Given['send'], roomMs: () => number }} props */
function Fills({ shown, calls, send, roomMs }) {
  const { turn } = shown;
  const sounds = useTicking(() => turn !== null && roomMs() < turn.sounded_room_ms, 100);
  const mine = turn !== null && shown.own.includes(turn.to);
  if (turn !== null && mine && turn.stage === 'asked' && shown.hand === null) {
    return html`<${Answering} key=${turn.sounded_room_ms} shown=${shown} turn=${turn} calls=${calls} send=${send} sounds=${sounds} roomMs=${roomMs} />`;
  }
  if (shown.station >= 0 && !shown.receipted) return html`<${Asking} shown=${shown} calls=${calls} send=${send} roomMs=${roomMs} />`;
  const [place, of] = inPlace(shown.rows);
  return html`<main><h1>${turn === null && shown.hand === null ? (shown.receipted ? 'You have given your R' : 'Copy along') : turnInWords(turn, calls, roomMs(), shown.hand)}</h1>
    <p>${shown.receipted ? 'Listen, and answer when you are asked.' : `You have ${place} of ${of} groups. What is answered to others fills your gaps, too.`}</p>
    <${Rows} shown=${shown} /></main>`;
}

/** @param {{ shown: NetForLearner }} props */
function Complete({ shown }) {
  const isShown = shown.rows.some((row) => row.sent.length > 0);
  const wrong = shown.rows.flatMap((row) => [...row.states]).filter((state) => state === 'w').length;
  const words = isShown && wrong > 0 ? `${counted(wrong, 'group')} written as another: what was sent stands under it.`
    : isShown ? 'What was missing stands under its gap.' : 'Your instructor will show what was sent.';
  return html`<main><h1>${shown.figures && endInWords(shown.figures)}</h1><p>${words}</p>
    <${Rows} shown=${shown} />${shown.figures && html`<${Figures} figures=${shown.figures} />`}<${Exchanges} exchanges=${shown.exchanges} /></main>`;
}
