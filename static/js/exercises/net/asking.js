/** Asking and answering: composed of the procedure's words and taps on groups, typed, or keyed. No question stands ready. */
import { html, useState } from '../../../vendor/preact.js';
import { FORMS, answerText, questionText, readQuestion, said } from '../../core/procedure.js';
import { secondsLeft } from '../../core/moment.js';
import { useTicking } from '../../view/parts/use_store.js';
import { tapped } from './draft.js';
import { Unclear } from './keying.js';
import { inPlace, LastWrong, Rows } from './rows.js';
import { Typed } from './typed.js';
import { answerInWords, turnInWords } from './words.js';

/** @import { NetForLearner, NetTurn } from '../../wire.js' */
/** @import { Send } from '../../core/messages.js' */
/** @import { Cell } from './rows.js' */
/** @import { Draft } from './draft.js' */

const HINTS = Object.freeze({ '?': ['all', 'of it'], AA: ['all', 'after'], AB: ['all', 'before'], BN: ['be-', 'tween'], WA: ['group', 'after'], WB: ['group', 'before'] });

/** @param {{ shown: NetForLearner, calls: readonly string[], send?: Send, roomMs: () => number }} props */
export function Asking({ shown, calls, send, roomMs }) {
  const [draft, setDraft] = useState(/** @type {Draft} */ ({ to: -1, form: null, named: [] }));
  const [typed, setTyped] = useState(false);
  const [place, of] = inPlace(shown.rows);
  const busy = shown.turn !== null || shown.hand !== null;
  const own = calls[shown.station];
  const inOrder = draft.to < 0 ? draft.named : [...draft.named].sort((a, b) => shown.rows[draft.to].groups.indexOf(a) - shown.rows[draft.to].groups.indexOf(b));
  const text = questionText(draft.to < 0 ? '' : calls[draft.to], own, draft.form ?? '', draft.form === '' ? [] : inOrder);
  const parts = shown.rows.map(({ call, groups }) => ({ call, groups }));
  const words = wordsFor(text, draft, shown.own, parts);
  const asked = readQuestion(text, shown.own, parts);
  const ask = (/** @type {string} */ question) => {
    if (!send?.('ask_fill', { text: question })) return; // without a connection it stays as it is
    setDraft({ to: -1, form: null, named: [] });
    setTyped(false);
  };
  const title = busy ? turnInWords(shown.turn, calls, roomMs(), shown.hand) : place === of ? 'All is there: give your R' : 'Ask for what you miss';
  return html`<main class="net-asking"><h1>${title}</h1>
    <div class="net-tally"><p>You have ${place} of ${of} groups. ${place === of ? 'Your count and every GR agree.' : 'Once complete, receipt with R.'}</p>
      <button type="button" class="button" data-size=${place === of ? undefined : 'small'} data-kind=${place === of ? 'primary' : undefined} onClick=${() => send?.('receipt_net', {})}>Receipt: R</button></div>
    <${LastWrong} last=${shown.last} /><${Unclear} text=${shown.unclear} />
    <${Rows} shown=${shown} onTap=${busy || typed ? undefined : (/** @type {Cell} */ cell) => !shown.own.includes(cell.part) && setDraft(tapped(draft, cell))}
      isNamed=${(/** @type {Cell} */ cell) => cell.part === draft.to && draft.named.includes(cell.group)}
      isAsked=${(/** @type {Cell} */ cell) => (busy && shown.turn?.asker === shown.station ? shown.turn.to === cell.part && shown.turn.groups.includes(cell.place)
        : asked.to === cell.part && draft.form !== null && asked.groups.includes(cell.place))} />
    ${typed ? html`<${Typed} label="Your question" signs=${calls.join('') + shown.rows.map(({ groups }) => groups.join('')).join('')}
        said=${(/** @type {string} */ keyed) => said(readQuestion(keyed, shown.own, parts)) || readQuestion(keyed, shown.own, parts).fault}
        busy=${busy} onSend=${ask} onBack=${() => setTyped(false)} />`
      : !busy && html`<div class="net-compose"><div class="net-draft sheet" aria-live="polite"><p class="net-line sign">${draft.to < 0 && draft.form === null ? html`<span class="soft">nothing composed yet</span>` : text}</p><p class="soft">${words}</p></div>
        <div class="net-forms" role="group" aria-label="Procedure">${['?', ...FORMS].map((form) => html`<button type="button" class="key" key=${form}
          aria-pressed=${draft.form === (form === '?' ? '' : form) ? 'true' : 'false'}
          onClick=${() => setDraft({ ...draft, form: form === '?' ? '' : form, named: draft.named.slice(form === 'BN' ? -2 : -1) })}>
          <span class="sign">${form}</span><small>${HINTS[/** @type {keyof typeof HINTS} */ (form)].join(' ').replace('- ', '')}</small></button>`)}</div>
        <div class="net-send">
          <${OtherWays} send=${send} onType=${() => setTyped(true)} />
          <button type="button" class="button" data-kind=${place === of ? undefined : 'primary'} disabled=${draft.form === null} onClick=${() => ask(text)}>Send it</button>
        </div></div>`}
  </main>`;
}

/** By the key, for which the channel is taken; or typed. @param {{ send?: Send, onType: () => void }} props */
const OtherWays = ({ send, onType }) => html`<button type="button" class="button" onClick=${() => send?.('take_net_key', {})}>Key it by hand</button>
  <button type="button" class="button" data-kind="bare" onClick=${onType}>Type it</button>`;

/** What the question so far says, or what it still lacks; never the right one. @param {string} text @param {Draft} draft
 * @param {readonly number[]} own @param {{ call: string, groups: readonly string[] }[]} parts */
function wordsFor(text, draft, own, parts) {
  if (draft.to < 0) return 'Tap a gap or a group in the part that you ask for.';
  if (draft.form === null) return `You ask ${parts[draft.to].call}. Choose one of the words below.`;
  const read = readQuestion(text, own, parts);
  return said(read) === '' ? read.fault : `asks ${parts[draft.to].call} for ${said(read)}`;
}

/** @param {{ shown: NetForLearner, turn: NetTurn, calls: readonly string[], send?: Send, sounds: boolean, roomMs: () => number }} props */
export function Answering({ shown, turn, calls, send, sounds, roomMs }) {
  const [given, setGiven] = useState(/** @type {number[]} */ ([]));
  const [typed, setTyped] = useState(false);
  const left = useTicking(() => secondsLeft(turn.answer_by_room_ms - roomMs()), 500);
  const asker = calls[turn.asker];
  const { groups } = shown.rows[turn.to];
  const isHeading = turn.groups.length === 0;
  const words = isHeading ? ['GR', String(groups.length)] : given.map((i) => groups[i]);
  const text = answerText(asker, calls[turn.to], turn, words);
  const toggle = (/** @type {Cell} */ { place }) => setGiven(given.includes(place) ? given.filter((i) => i !== place) : [...given, place].sort((a, b) => a - b));
  if (sounds) return html`<main><h1>${asker} asks you</h1><p>Listen: the question is being sent, and takes ${Math.round(turn.question_ms / 1000)} s.</p><${Rows} shown=${shown} only=${[turn.to]} /></main>`;
  const answer = (/** @type {string} */ line) => send?.('answer_fill', { text: line });
  return html`<main class="net-asking"><h1>${asker} asks you</h1>
    <div class="net-draft sheet"><p class="net-line sign">${turn.text}</p><p class="soft">${turn.said}, in your part</p></div>
    <${Unclear} text=${shown.unclear} />
    <h2>Answer with exactly that, nothing more</h2><p class="soft">Tap it in your part. After ${left} s the server answers.</p>
    <${Rows} shown=${shown} only=${[turn.to]} onTap=${typed ? undefined : toggle} isNamed=${(/** @type {Cell} */ { place }) => given.includes(place)} />
    ${typed ? html`<${Typed} label="Your answer" signs=${calls.join('') + groups.join('')} said=${(/** @type {string} */ keyed) => answerInWords(keyed, turn, calls, groups)}
        busy=${false} onSend=${answer} onBack=${() => setTyped(false)} />`
      : html`<div class="net-compose"><div class="net-draft sheet" aria-live="polite"><p class="net-line sign">${text}</p><p class="soft">${answerInWords(text, turn, calls, groups)}</p></div>
        <div class="net-send"><${OtherWays} send=${send} onType=${() => setTyped(true)} />
          <button type="button" class="button" data-kind="primary" onClick=${() => answer(text)}>Send the answer</button></div></div>`}
  </main>`;
}
