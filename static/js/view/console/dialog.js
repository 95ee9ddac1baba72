/** A dialog over the console: the shared one, closed by what the console's state says. */
import { html } from '../../../vendor/preact.js';
import { Dialog as SharedDialog } from '../parts/dialog.js';
import { useDialog } from './desk.js';

/** @param {{ title: string, children?: any }} props */
export function Dialog({ title, children }) {
  const open = useDialog();
  return html`<${SharedDialog} title=${title} onClose=${() => open('')}>${children}<//>`;
}
