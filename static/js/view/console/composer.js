/** What comes next: a run composed by its purpose, looked at, and sent. */
import { html, useState } from '../../../vendor/preact.js';
import { composed, isComplete } from '../../core/console_state.js';
import { inTableOrder } from '../../core/alphabet.js';
import { clockFace } from '../../core/moment.js';
import { unmetIn } from '../../core/plan.js';
import { COMPOSED, isGrouped, isShown, takesNone, takesOne } from '../../core/purposes.js';
import { Choice } from '../parts/choice.js';
import { numbered, ticked } from '../parts/fields.js';
import { useLater } from '../parts/use_store.js';
import { useConsole, useDesk } from './desk.js';
import { OwnText, Symbols } from './compose_parts.js';
import { About, OwnWords } from './compose_words.js';
import { Together, exerciseOptions } from './together.js';
import { PutInPlan } from './plan/put_in_plan.js';
import { SentText, SignList } from './signs.js';
import { SoundFacts } from './sound_facts.js';

/** @import { Draft } from '../../core/console_state.js' */
/** @import { Composed } from '../../core/purposes.js' */

const LENGTHS = [3, 6, 12, 20, 40, 60, 80, 100, 150, 200, 300, 500];
const ASK_AFTER_MS = 200;
/** Of the sounds that nobody has met. */
const MOST_NAMED = 10;

export function Composer() {
  const draft = useConsole((state) => state.draft);
  const hasRun = useConsole((state) => state.run !== null);
  const { dispatch } = useDesk();
  useProposal();
  /** @type {import('./compose_parts.js').Change} */
  const change = (part) => dispatch({ type: 'drafted', change: part });
  const [kind, setKind] = useState('');
  const purposes = /** @type {[Composed, string][]} */ (Object.entries(COMPOSED).map(([key, { name }]) => [key, name]));
  return html`<section class="sheet now composer" aria-labelledby="composer-title">
    <div class="panel-head">
      <h2 id="composer-title">What comes next</h2>
      <${SoundFacts} />
      ${hasRun && html`<button type="button" class="button" data-kind="bare" data-size="small"
        onClick=${() => dispatch({ type: 'composing', on: false })}>Back to the last run</button>`}
    </div>
    <${Choice} label="Purpose" value=${kind === '' ? draft.purpose : ''} options=${purposes}
      onChoose=${(/** @type {Composed} */ purpose) => (setKind(''), change({ purpose }))} />
    <${Choice} label="Together" value=${kind} options=${exerciseOptions()} onChoose=${setKind} shown />
    ${kind === '' ? html`<${Text} draft=${draft} change=${change} />` : html`<${Together} key=${kind} kind=${kind} />`}
  </section>`;
}

/** A text for all to copy. @param {import('./compose_parts.js').Props} props */
function Text({ draft, change }) {
  const hasSymbols = !takesNone(draft.purpose);
  return html`<p class="help">${COMPOSED[draft.purpose].hint}</p>
    ${draft.purpose === 'own' && html`<${OwnText} draft=${draft} change=${change} />`}
    ${hasSymbols && html`<${Symbols} draft=${draft} change=${change} />`}
    ${asksOwnWords(draft) && html`<${OwnWords} />`}
    <div class="compose-line">
      ${draft.purpose === 'words' && html`<${About} draft=${draft} change=${change} />`}
      ${hasSymbols && html`<${Length} draft=${draft} change=${change} />`}
      <${Counting} draft=${draft} change=${change} />
      <${PutInPlan} />
    </div>
    <${Preview} change=${change} />`;
}

/** Whether the class's own words are to be sent. @param {Draft} draft */
const asksOwnWords = ({ purpose, about }) => purpose === 'words' && about === 'own';

/** Ask for a text whenever the draft changes, and when the class's sound does: the time follows from it. */
function useProposal() {
  const draft = useConsole((state) => state.draft);
  const sound = useConsole((state) => state.room?.sound);
  const connection = useConsole((state) => state.connection);
  const ownWords = useConsole((state) => (asksOwnWords(state.draft) ? state.room?.own_words : ''));
  const { dispatch, send } = useDesk();
  const wanted = isComplete(draft) ? JSON.stringify(composed(draft)) : '';
  const ask = () => send('compose', composed(draft)) && dispatch({ type: 'asked' });
  useLater(ask, wanted === '' || connection !== 'connected' ? null : ASK_AFTER_MS, [wanted, sound, connection, ownWords]);
}

/** @param {import('./compose_parts.js').Props} props */
function Length({ draft, change }) {
  const lengths = LENGTHS.includes(draft.count) ? LENGTHS : [...LENGTHS, draft.count].sort((a, b) => a - b);
  const grouped = isGrouped(draft.purpose);
  return html`<label class="inline-field">Sounds
      <select class="input" value=${draft.count}
        onChange=${numbered((count) => change({ count }))}>
        ${lengths.map((n) => html`<option key=${n} value=${n}>${n}</option>`)}
      </select></label>
    ${grouped && html`<label class="inline-field">in groups of
      <select class="input" value=${draft.group}
        onChange=${numbered((group) => change({ group }))}>
        ${[1, 2, 3, 4, 5, 6, 8, 10].map((n) => html`<option key=${n} value=${n}>${n}</option>`)}
      </select></label>`}`;
}

/** @param {import('./compose_parts.js').Props} props */
function Counting({ draft, change }) {
  if (draft.purpose === 'listen') return null;
  if (isShown(draft.purpose)) {
    return html`<label class="switch" data-size="small"><input type="checkbox" checked=${draft.named}
      onChange=${ticked((named) => change({ named }))} />
      ${draft.purpose === 'meet' ? 'Its name comes after it' : 'Learners see its name'}</label>`;
  }
  return html`<label class="switch" data-size="small"><input type="checkbox" checked=${draft.counted}
    onChange=${ticked((counted) => change({ counted }))} />
    Count it in the table</label>`;
}

/** @param {{ change: import('./compose_parts.js').Change }} props */
function Preview({ change }) {
  const { dispatch, send } = useDesk();
  const draft = useConsole((state) => state.draft);
  const proposal = useConsole((state) => state.proposal);
  const objection = useConsole((state) => state.objection);
  const pending = useConsole((state) => state.asked > 0);
  const connected = useConsole((state) => state.connection === 'connected');
  const ready = isComplete(draft) && proposal !== null;
  const start = () => {
    const shown = isShown(draft.purpose);
    const isSent = send('send_text', { ...composed(draft), name_shown: shown && draft.named, counted: !shown && draft.counted });
    if (isSent) dispatch({ type: 'sending' });
  };
  return html`<div class="preview">
    ${ready && proposal !== null && html`<${Unmet} draft=${draft} text=${proposal.text} />`}
    <div class="preview-text" aria-live="polite" aria-busy=${pending ? 'true' : 'false'} aria-label="Preview" role="group">
      ${preview(draft, ready, proposal, objection)}
    </div>
    <div class="actions">
      ${drawsLots(draft.purpose) && html`<button type="button" class="button"
        disabled=${!ready} onClick=${() => change({ seed: draft.seed + 1 })}>Another text</button>`}
      <button type="button" class="button" data-kind="primary" data-action="primary" data-sends="" disabled=${!ready || !connected}
        onClick=${start}>Send to the class <kbd class="kbd">Ctrl ⏎</kbd></button>
    </div>
  </div>`;
}

/** Before a counted run asks for sounds that nobody has met. @param {{ draft: Draft, text: string }} props */
function Unmet({ draft, text }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const unmet = draft.counted && !isShown(draft.purpose) ? unmetIn(text, known) : [];
  if (unmet.length === 0) return null;
  const named = unmet.length > MOST_NAMED ? `${unmet.length} of these sounds` : html`<${SignList} signs=${inTableOrder(unmet.join('')).join('')} />`;
  return html`<p class="help unmet"><strong>Not met yet: ${named}.</strong>${' '}
    Put in the plan, they join the known ones; sent from here, they do not.</p>`;
}

/**
 * @param {Draft} draft
 * @param {boolean} ready
 * @param {import('../../wire.js').ProposalOut | null} proposal
 * @param {string} objection
 */
function preview(draft, ready, proposal, objection) {
  if (!isComplete(draft)) return html`<p class="soft">${missing(draft)}</p>`;
  const objected = objection !== '' && html`<p class="objection">${objection}</p>`;
  if (!ready || proposal === null) return objected || html`<p class="soft">Composing …</p>`;
  return html`${objected}<${SentText} text=${proposal.text} />
    <p class="soft">${proposal.sounds} ${proposal.sounds === 1 ? 'sound' : 'sounds'}, ${clockFace(proposal.seconds * 1000)} min</p>`;
}

/** Whether another seed gives another text. @param {Composed} purpose */
const drawsLots = (purpose) => !['listen', 'one', 'own'].includes(purpose);

/** @param {Draft} draft */
function missing({ purpose, symbols }) {
  if (purpose === 'own') return 'Write the text first.';
  if (takesOne(purpose)) return 'Choose the sound first.';
  if (purpose === 'apart') return symbols.length === 0 ? 'Choose two or three sounds.' : 'Choose one more sound.';
  return 'Choose the sounds first.';
}
