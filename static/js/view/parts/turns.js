/** Whose turn it is, and what an instructor does about turns: the same in every exercise that has them. */
import { html } from '../../../vendor/preact.js';

/**
 * Three fixed places with a shape and a word: who is at it, who takes part beside, who waits. One's own is in ink.
 * @param {{ places: readonly { is: 'key' | 'sheet' | 'ring', word: string, who: string, own?: boolean }[] }} props
 */
export function TurnStrip({ places }) {
  return html`<ul class="turn-strip" role="list" aria-label="Turns">
    ${places.map(({ is, word, who, own }) => html`<li key=${is} data-is=${is} data-own=${own ? '' : undefined}>
      <span class="turn-mark" aria-hidden="true"></span><span>${word}</span> <span class="turn-who">${own ? 'you' : who}</span>
    </li>`)}
  </ul>`;
}

/**
 * Pass over the turn at hand, or give a part to another; quiet, beside the card's own orders.
 * @param {{ send: import('../../core/messages.js').Send, words?: string }} props
 */
export const SkipTurn = ({ send, words = 'Skip this turn' }) =>
  html`<button type="button" class="button" data-size="small" onClick=${() => send('skip_turn', {})}>${words}</button>`;

/**
 * @param {{ send: import('../../core/messages.js').Send, seat: number, name: string,
 *   seats: readonly import('../../wire.js').SeatOut[] }} props  seat: whose part is given away
 */
export function HandOver({ send, seat, name, seats }) {
  const others = seats.filter((other) => other.seat !== seat && other.here && other.inside);
  if (others.length === 0) return null;
  const give = (/** @type {Event & { currentTarget: HTMLSelectElement }} */ event) => {
    const to = Number(event.currentTarget.value);
    if (to > 0) send('hand_over', { seat, to });
  };
  return html`<label class="inline-field">Hand over ${name} to
    <select class="input" value="0" onChange=${give}><option value="0">nobody yet</option>
      ${others.map((other) => html`<option key=${other.seat} value=${other.seat}>${other.name}</option>`)}</select></label>`;
}
