/** The ways to what is longer than an evening. */
import { html } from '../../../../vendor/preact.js';
import { useDialog } from '../desk.js';

export function LessonLinks() {
  const open = useDialog();
  const link = (/** @type {string} */ dialog, /** @type {string} */ words) => html`<button type="button" class="button"
    data-size="small" onClick=${() => open(dialog)}>${words}</button>`;
  return html`<nav class="lesson-links" aria-label="The course">
    ${link('course', 'Course')}${link('review', 'Review')}${link('progress', 'Progress')}
  </nav>`;
}
