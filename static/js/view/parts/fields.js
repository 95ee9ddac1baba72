/** What is typed or chosen in a field, handed on to who asks for it. */

/** An event as its listener sees it. @template {Element} From @typedef {{ currentTarget: From }} On */
/** @typedef {On<HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement>} OnField */

/** @param {(value: string) => void} use @returns {(event: OnField) => void} */
export const typed = (use) => ({ currentTarget }) => use(currentTarget.value);

/** @param {(value: number) => void} use  0 for an empty field @returns {(event: OnField) => void} */
export const numbered = (use) => typed((value) => use(Number(value)));

/** @param {(on: boolean) => void} use @returns {(event: On<HTMLInputElement>) => void} */
export const ticked = (use) => ({ currentTarget }) => use(currentTarget.checked);

/** @param {(field: (name: string) => string) => void} use  gets what the form's fields hold */
export const submitted = (use) => (/** @type {SubmitEvent & On<HTMLFormElement>} */ event) => {
  event.preventDefault();
  use((name) => new FormData(event.currentTarget).get(name)?.toString().trim() ?? '');
};

/** What stands there gives way to what is typed. @param {On<HTMLInputElement>} event */
export const selectAll = ({ currentTarget }) => currentTarget.select();

/** A field that has just appeared is the one to type in. @param {HTMLInputElement | null} field */
export const focusIt = (field) => field?.focus();
