/**
 * A lamp that is lit while a tone sounds. Small, and off unless asked for: at more than about 7 wpm a run of dots
 * flashes more than three times a second (WCAG 2.2, 2.3.1), which is allowed only over a small area.
 */
import { html, useEffect, useRef } from '../../../vendor/preact.js';
import { runOf } from '../../core/learner_state.js';
import { toneAt } from '../../core/moment.js';
import { usePage } from './context.js';

export function Lamp() {
  const { store, roomMs } = usePage();
  const element = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    let frame = requestAnimationFrame(function look() {
      const run = runOf(store.get());
      element.current?.toggleAttribute('data-lit', run !== null && toneAt(run, roomMs()));
      frame = requestAnimationFrame(look);
    });
    return () => cancelAnimationFrame(frame);
  }, []);
  return html`<span class="lamp" ref=${element} aria-hidden="true"></span>`;
}
