/** A learner's own copy under what was sent. Kinds of answers differ in shape, not only in colour; nobody is ranked. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { practiceNote } from '../../core/purposes.js';
import { encouragement, groupsOf, lateWords, scoreWords } from '../../core/reveal.js';
import { Icon } from '../parts/icons.js';
import { Sign, spoken } from '../parts/sign.js';
import { useLearner, usePage } from './context.js';
import { OwnCount } from './own_count.js';

/** @import { Column } from '../../core/reveal.js' */

/** @type {Partial<Record<Column['kind'], string>>} */
const LEGEND = {
  other: 'another sound', blank: 'your blank', missed: 'nothing written', extra: 'extra mark',
  unheard: 'not sounded here, not counted', aside: 'set aside, not counted',
};

export function Reveal() {
  const reveal = useLearner((state) => state.reveal);
  const practice = useLearner((state) => practiceNote(state.push?.purpose));
  if (reveal === null) return null;
  if (reveal.marks === '') return html`<${OwnCount} reveal=${reveal} practice=${practice} />`;
  const groups = groupsOf(reveal);
  const kinds = new Set(groups.flat().map((column) => column.kind));
  const legend = /** @type {[Column['kind'], string][]} */ (Object.entries(LEGEND)).filter(([kind]) => kinds.has(kind));
  return html`
    <main class="column reveal">
      <div>
        <h1>${scoreWords(reveal)}</h1>
        <p class="soft">${encouragement(reveal)}</p>
        ${reveal.late !== '' && html`<p class="soft">${lateWords(reveal)}</p>`}
        ${practice !== '' && html`<p class="soft">${practice}</p>`}
      </div>
      <section class="sheet answers" role="group" aria-label="Sent above, yours below">
        ${groups.map((group, g) => html`<div class="answer-group" role="list" key=${g}>
          ${group.map((column, i) => html`<${Answer} key=${i} ...${column} />`)}</div>`)}
      </section>
      <p class="legend">
        <span class="soft">in this run; above: sent, below: yours</span>
        ${legend.map(([kind, words]) => html`<span key=${kind}><i class="cell" data-kind=${kind} aria-hidden="true">${SAMPLES[kind]}</i>${words}</span>`)}
      </p>
      <ul class="findings" role="list">
        ${reveal.taken.map(([sent, wrote, count]) => html`<${Taken} key=${`${sent}${wrote}`} sent=${sent} wrote=${wrote} count=${count} />`)}
        ${reveal.all_right !== '' && html`<li><p><span class="found">${[...reveal.all_right].map((sign) =>
          html`<${Sign} key=${sign} sign=${sign} /> `)}</span>${[...reveal.all_right].length === 1 ? 'right every time' : 'every one right'}</p></li>`}
      </ul>
      <p class="soft">The next run starts when your instructor sends it.</p>
    </main>`;
}

/** @type {Partial<Record<Column['kind'], import('../../../vendor/preact/preact.js').ComponentChildren>>} */
const SAMPLES = { aside: 'x', other: 'x', blank: html`<${Sign} sign="_" />`, extra: 'x', unheard: html`<${Icon} of="silence" />` };

/** What a screen reader says of a column. @param {Column} column */
function described({ kind, sent, written }) {
  if (kind === 'extra') return `extra mark ${spoken(written)}`;
  if (kind === 'right') return `${spoken(sent)}, right`;
  if (kind === 'unheard') return `${spoken(sent)}, not sounded here`;
  if (kind === 'aside') return `${spoken(sent)}, set aside, you wrote ${written === '' ? 'nothing' : spoken(written)}`;
  if (kind === 'missed') return `${spoken(sent)}, nothing written`;
  return `${spoken(sent)}, you wrote ${spoken(written)}`;
}

/** @param {Column} column */
function Answer(column) {
  const { kind, sent, written } = column;
  return html`
    <span class="answer" role="listitem" aria-label=${described(column)}>
      <span class="sent" aria-hidden="true">${sent !== '' && html`<${Sign} sign=${sent} />`}</span>
      <span class="cell" data-kind=${kind} aria-hidden="true">
        ${kind === 'unheard' ? html`<${Icon} of="silence" />` : written !== '' && html`<${Sign} sign=${written} />`}
      </span>
    </span>`;
}

const TIMES = ['', 'once', 'twice'];

/** @param {{ sent: string, wrote: string, count: number }} props */
function Taken({ sent, wrote, count }) {
  const { actions } = usePage();
  const [heard, setHeard] = useState(/** @type {import('../../core/tones.js').Heard[]} */ ([]));
  const [now, setNow] = useState('');
  useEffect(() => {
    const timers = heard.flatMap(({ sign, startMs, endMs }) => [
      setTimeout(() => setNow(sign), startMs + 100),
      setTimeout(() => setNow(''), endMs + 200),
    ]);
    return () => timers.forEach(clearTimeout);
  }, [heard]);
  return html`
    <li>
      <p><span class="found" data-sounds=${now === sent}><${Sign} sign=${sent} /></span> taken ${TIMES[count] ?? `${count} times`} for
        <span class="found" data-sounds=${now === wrote}><${Sign} sign=${wrote} /></span></p>
      <button class="button" onClick=${() => setHeard(actions.compare(sent + wrote + sent + wrote))}>Hear both</button>
    </li>`;
}
