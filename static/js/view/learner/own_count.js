/** What was sent, for those who wrote on paper or not at all: they compare it with their sheet, and hand in no more than a count. */
import { html, useState } from '../../../vendor/preact.js';
import { asideWords, groupsOf, lateWords } from '../../core/reveal.js';
import { Sign, spoken } from '../parts/sign.js';
import { submitted, typed } from '../parts/fields.js';
import { useLearner, usePage } from './context.js';

/** @import { RevealOut as Reveal } from '../../wire.js' */

/** @param {{ reveal: Reveal, practice: string }} props */
export function OwnCount({ reveal, practice }) {
  const [handed, of] = reveal.own_count ?? [0, 0];
  const [lost, setLost] = useState(/** @type {ReadonlySet<number>} */ (new Set()));
  const toggle = (/** @type {number} */ place) => {
    const next = new Set(lost);
    if (!next.delete(place)) next.add(place);
    setLost(next);
  };
  return html`
    <main class="column reveal">
      <div>
        <h1>${reveal.own_count === null ? 'What was sent' : `${handed} of ${of} right, by your own count`}</h1>
        <p class="soft">${reveal.late === '' ? 'You keyed nothing in.' : `${lateWords(reveal)}.`} Compare your sheet: tap each sound that you missed or heard as another one.</p>
        ${reveal.aside_from !== null && html`<p class="soft">${asideWords(reveal)}</p>`}
        ${practice !== '' && html`<p class="soft">${practice}</p>`}
      </div>
      <section class="sheet answers" role="group" aria-label="What was sent: mark what you missed">
        <${Marking} reveal=${reveal} lost=${lost} onToggle=${toggle} />
      </section>
      <${Count} key=${lost.size} reveal=${reveal} lost=${lost.size} />
      <p class="soft">The next run starts when your instructor sends it.</p>
    </main>`;
}

/** @param {{ reveal: Reveal, lost: ReadonlySet<number>, onToggle: (place: number) => void }} props */
function Marking({ reveal, lost, onToggle }) {
  let place = -1;
  return groupsOf({ ...reveal, unheard: [] }).map((group, g) => html`<div class="answer-group" key=${g}>
    ${group.map(({ sent }) => {
      place += 1;
      const own = place;
      return html`<button type="button" class="own-mark" key=${own} aria-pressed=${lost.has(own) ? 'true' : 'false'}
        aria-label=${`${spoken(sent)}, missed`} onClick=${() => onToggle(own)}><${Sign} sign=${sent} /></button>`;
    })}</div>`);
}

/** Right is what is not marked, or what is written here. @param {{ reveal: Reveal, lost: number }} props */
function Count({ reveal, lost }) {
  const { actions } = usePage();
  const connected = useLearner((state) => state.connection === 'connected');
  const [right, setRight] = useState(String(reveal.own_count !== null && lost === 0 ? reveal.own_count[0] : reveal.sent - lost));
  const count = Number(right);
  const fits = right.trim() !== '' && Number.isInteger(count) && count >= 0 && count <= reveal.sent;
  return html`<form class="own-count" onSubmit=${submitted(() => fits && actions.handInCount(count, reveal.sent))}>
    <label>Right of ${reveal.sent} <input class="input" inputmode="numeric" value=${right} aria-invalid=${!fits}
      onInput=${typed(setRight)} /></label>
    <button type="submit" class="button" data-kind="primary" disabled=${!fits || !connected}>Hand in the count</button>
    <p class="soft">Only the count goes to your instructor, as your own; it is in no table.</p>
  </form>`;
}
