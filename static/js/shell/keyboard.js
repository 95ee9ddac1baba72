/** A physical keyboard on the learner's page: what a key means, when it means anything. */

/**
 * @typedef {object} Meaning
 * @property {(character: string, pageMs: number) => boolean} write  a typed character; whether it was taken
 * @property {(pageMs: number) => void} erase
 * @property {(to: 'before' | 'after' | 'first' | 'last' | 'none') => void} move
 */

/** @type {Record<string, Parameters<Meaning['move']>[0]>} */
const MOVES = { ArrowLeft: 'before', ArrowRight: 'after', Home: 'first', End: 'last', Escape: 'none' };

/**
 * @param {Meaning} meaning
 * @param {() => boolean} isWriting  whether the sheet is in front
 */
export function listenToKeys({ write, erase, move }, isWriting) {
  document.addEventListener('keydown', (event) => {
    if (!isWriting() || isElsewhere(event) || isShortcut(event)) return;
    if (event.key === 'Backspace' || event.key === 'Delete') erase(event.timeStamp);
    else if (MOVES[event.key] !== undefined) move(MOVES[event.key]);
    else if (event.repeat || !write(event.key === ' ' ? '_' : event.key, event.timeStamp)) return;
    event.preventDefault(); // the space bar would press the button that has the focus
  });
}

/**
 * A field or a dialog has the keyboard; or a button off the sheet that somebody came to by keyboard, for the keys that
 * press it. A button that a pointer pressed keeps the focus, but nobody means it with the next space bar.
 * @param {KeyboardEvent} event
 */
function isElsewhere({ key, target }) {
  if (document.querySelector('dialog[open]') !== null) return true;
  if (!(target instanceof Element)) return false;
  if (target.closest('input, textarea, select') !== null) return true;
  const presses = key === ' ' || key === 'Enter';
  return presses && target.matches('button:focus-visible, a:focus-visible') && target.closest('[data-sheet]') === null;
}

/** AltGr writes signs on many keyboards, and looks like Ctrl and Alt. @param {KeyboardEvent} event */
function isShortcut(event) {
  return (event.ctrlKey || event.metaKey || event.altKey) && !event.getModifierState('AltGraph');
}
