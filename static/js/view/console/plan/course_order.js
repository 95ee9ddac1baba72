/** The order of a course as a row of sounds; the one in focus says why it stands there, and can be moved. */
import { html, useLayoutEffect, useRef, useState } from '../../../../vendor/preact.js';
import { useConsole } from '../desk.js';
import { Sign, spoken } from '../../parts/sign.js';

/** @import { PlacementOut } from '../../../wire.js' */

/**
 * @param {object} props
 * @param {readonly PlacementOut[]} props.order
 * @param {boolean} props.isOwn  an own order has no reasons to be pinned against
 * @param {(sign: string, place: number) => void} props.onMove
 * @param {(sign: string) => void} props.onPin
 * @param {(sign: string) => void} props.onDrop
 */
export function CourseOrder({ order, isOwn, onMove, onPin, onDrop }) {
  const known = useConsole((state) => state.room?.symbols ?? '');
  const [chosen, setChosen] = useState('');
  const list = useRef(/** @type {HTMLElement | null} */ (null));
  const [wantsFocus, setWantsFocus] = useState(false);
  const place = Math.max(0, order.findIndex(({ sign }) => sign === chosen));
  const at = order[place];
  useLayoutEffect(() => { // at once: a focus that comes after the next key would take its move back
    if (!wantsFocus) return;
    /** @type {HTMLElement | null} */ (list.current?.querySelector('[tabindex="0"]') ?? null)?.focus();
    setWantsFocus(false);
  }, [wantsFocus, place]);
  if (at === undefined) return html`<p class="soft">Working the order out …</p>`;
  const goTo = (/** @type {number} */ to) => {
    setChosen(order[Math.min(order.length - 1, Math.max(0, to))].sign);
    setWantsFocus(true);
  };
  const drop = () => {
    onDrop(at.sign);
    goTo(place + 1 < order.length ? place + 1 : place - 1);
  };
  const onKeyDown = (/** @type {KeyboardEvent} */ event) => {
    const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (by !== undefined && event.altKey) onMove(at.sign, place + by);
    else if (by !== undefined) goTo(place + by);
    else if (event.key === 'Home') goTo(0);
    else if (event.key === 'End') goTo(order.length - 1);
    else if (event.key === 'Delete') drop();
    else return;
    event.preventDefault();
  };
  return html`<div class="course-order">
    <div class="order-row" role="toolbar" aria-label="The order of the course" ref=${list} onKeyDown=${onKeyDown}>
      ${order.map(({ sign, pinned }, i) => html`<button type="button" class="key" key=${sign} tabindex=${i === place ? 0 : -1}
        aria-pressed=${i === place ? 'true' : 'false'} data-known=${known.includes(sign) ? '' : undefined} data-pinned=${pinned && !isOwn ? '' : undefined}
        aria-label=${`${i + 1}: ${spoken(sign)}${pinned && !isOwn ? ', pinned' : ''}${known.includes(sign) ? ', known' : ''}`}
        onClick=${() => setChosen(sign)} onFocus=${() => setChosen(sign)}><${Sign} sign=${sign} /></button>`)}
    </div>
    <p class="help">A dot marks what the class knows${isOwn ? '' : ', a bar what is pinned'}. Arrow keys go along; with Alt they move the sound; Delete leaves it out.</p>
    <section class="sheet placement" aria-live="polite" aria-label=${`Why ${spoken(at.sign)} stands here`}>
      <p><strong class="placed"><${Sign} sign=${at.sign} also=${true} /></strong> is number ${place + 1} of ${order.length}${at.pinned && !isOwn ? ', pinned' : ''}</p>
      <ul class="quiet-list">${at.reasons.map((reason) => html`<li key=${reason}>${reason}</li>`)}</ul>
      <div class="step-tools">
        <button type="button" class="button" data-size="small" disabled=${place === 0} onClick=${() => onMove(at.sign, place - 1)}>Earlier</button>
        <button type="button" class="button" data-size="small" disabled=${place === order.length - 1}
          onClick=${() => onMove(at.sign, place + 1)}>Later</button>
        ${!isOwn && html`<button type="button" class="button" data-size="small" aria-pressed=${at.pinned ? 'true' : 'false'}
          onClick=${() => onPin(at.sign)}>${at.pinned ? 'Let it go' : 'Pin it here'}</button>`}
        <button type="button" class="button" data-size="small" disabled=${order.length === 1} onClick=${drop}>Leave it out</button>
      </div>
    </section>
  </div>`;
}
