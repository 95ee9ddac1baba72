/** What this device remembers. A private window may refuse its disk: then a page remembers for as long as it is open. */

/** @typedef {Pick<globalThis.Storage, 'getItem' | 'setItem' | 'removeItem'>} Shelf */

const PREFIX = 'copyroom.';

/** @returns {Shelf & { inMemory: boolean }} */
function inMemory() {
  /** @type {Map<string, string>} */
  const kept = new Map();
  return {
    inMemory: true,
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => void kept.set(key, value),
    removeItem: (key) => void kept.delete(key),
  };
}

/** @param {'localStorage' | 'sessionStorage'} kind */
function shelf(kind) {
  try {
    const found = window[kind];
    found.setItem(`${PREFIX}try`, '');
    found.removeItem(`${PREFIX}try`);
    return found;
  } catch {
    return inMemory(); // refused, or full from the start
  }
}

/** @param {Shelf} on */
function remembering(on) {
  return Object.freeze({
    lasts: !('inMemory' in on),
    /** @param {string} key @returns {any} undefined when there is nothing, or nothing readable */
    read(key) {
      const text = on.getItem(PREFIX + key);
      try {
        return text === null ? undefined : JSON.parse(text);
      } catch {
        return undefined;
      }
    },
    /** @param {string} key @param {unknown} value @returns {boolean} whether it was kept */
    write(key, value) {
      try {
        on.setItem(PREFIX + key, JSON.stringify(value));
        return true;
      } catch {
        return false; // full; what is in memory still goes to the server
      }
    },
    /** @param {string} key */
    forget: (key) => on.removeItem(PREFIX + key),
  });
}

/** @typedef {ReturnType<typeof remembering>} Remembered */

export const onDevice = remembering(shelf('localStorage'));
/** For this tab alone: a second seat beside the one that the browser remembers. */
export const inTab = remembering(shelf('sessionStorage'));
