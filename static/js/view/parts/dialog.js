/** A dialog over the page: closes with Escape, its button or a tap beside it, and gives the focus back. */
import { html, useEffect, useId, useRef } from '../../../vendor/preact.js';
import { Icon } from './icons.js';

/**
 * @param {object} props
 * @param {string} props.title
 * @param {() => void} props.onClose
 * @param {import('../../../vendor/preact/preact.js').ComponentChildren} [props.children]
 */
export function Dialog({ title, onClose, children }) {
  const element = useRef(/** @type {HTMLDialogElement | null} */ (null));
  const titleId = useId();
  useEffect(() => {
    element.current?.showModal();
    // Where there is something to fill in, typing starts there and not on the button that closes.
    /** @type {HTMLElement | null | undefined} */ (element.current?.querySelector('[autofocus], input, textarea, select'))?.focus();
  }, []);
  const beside = (/** @type {MouseEvent} */ event) => {
    if (event.target === element.current) element.current?.close();
  };
  return html`
    <dialog class="dialog" ref=${element} aria-labelledby=${titleId} onClose=${onClose} onClick=${beside}>
      <header>
        <h2 id=${titleId}>${title}</h2>
        <button type="button" class="button" data-kind="bare" aria-label="Close"
          onClick=${() => element.current?.close()}><${Icon} of="close" /></button>
      </header>
      <div>${children}</div>
    </dialog>`;
}
