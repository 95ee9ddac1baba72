/** Small drawings beside words; never without a word or a name on what they stand in. */
import { html } from '../../../vendor/preact.js';

const PATHS = Object.freeze({
  settings: 'M4 7h9M17 7h3M4 17h3M11 17h9M13 4.5v5h4v-5zM7 14.5v5h4v-5z',
  close: 'M6 6l12 12M18 6L6 18',
  sound: 'M4 9.5v5h3.5L12 19V5L7.5 9.5zM15.5 9a4 4 0 0 1 0 6M18 6.5a8 8 0 0 1 0 11',
  silence: 'M4 9.5v5h3.5L12 19V5L7.5 9.5zM16 9.5l5 5M21 9.5l-5 5',
  type: 'M3 6.5h18v11H3zM7 10.5h.01M11 10.5h.01M15 10.5h.01M8 14h8',
  pencil: 'M4 20l1-4.5L16.5 4 20 7.5 8.5 19zM14 6.5l3.5 3.5',
  check: 'M4.5 12.5l5 5L19.5 7',
  left: 'M14.5 6L8.5 12l6 6',
  right: 'M9.5 6l6 6-6 6',
  insert: 'M5 19l7-10 7 10z',
  erase: 'M20 6H9L3.5 12 9 18h11zM11.5 9.5l5 5M16.5 9.5l-5 5',
});

/** @param {{ of: keyof typeof PATHS }} props */
export function Icon({ of }) {
  return html`<svg class="icon" viewBox="0 0 24 24" aria-hidden="true"><path d=${PATHS[of]} /></svg>`;
}
