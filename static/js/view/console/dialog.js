/** A dialog over the console: the shared one, closed by what the console's state says. What goes wrong there is said there. */
import { html } from '../../../vendor/preact.js';
import { Dialog as SharedDialog } from '../parts/dialog.js';
import { useDialog } from './desk.js';
import { Notices } from './notices.js';

/** @param {{ title: string, children?: import('../../../vendor/preact/preact.js').ComponentChildren }} props */
export function Dialog({ title, children }) {
  const open = useDialog();
  return html`<${SharedDialog} title=${title} onClose=${() => open('')}>${children}<${Notices} /><//>`;
}
