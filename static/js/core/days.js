/** Days as the room counts them. Pure. */

const DAY_MS = 86_400_000;
const MINUTE_MS = 60_000;

/** Local days since 1970-01-01. @param {Date} date */
export function localDay(date) {
  return Math.floor((date.getTime() - date.getTimezoneOffset() * MINUTE_MS) / DAY_MS);
}

/** A day number as a date, at noon so that no zone moves it. @param {number} day @returns {Date} */
export const dateOfDay = (day) => new Date(1970, 0, 1 + day, 12);
