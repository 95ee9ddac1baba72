/** The class tables of every scope: what the server tells of the run at hand, on top of what was before it. Pure. */

/** @typedef {import('../wire.js').TableOut} TableOut */
/** @typedef {import('../wire.js').TablesBefore} TablesBefore */
/** @typedef {TableOut['cells'][number]} Cell  [sent, written, count] */

/**
 * @typedef {object} Tables
 * @property {number} push
 * @property {Cell[]} run
 * @property {number} run_copies
 * @property {Cell[]} evening
 * @property {Cell[]} course
 * @property {boolean} final
 */

/**
 * @param {TableOut | null} now
 * @param {TablesBefore | null} before
 * @returns {Tables | null}
 */
export function tablesOf(now, before) {
  if (now === null || before === null) return null;
  const added = now.counted ? now.cells : [];
  return {
    push: now.push,
    run: now.cells,
    run_copies: now.copies,
    evening: sum(before.evening, added),
    course: sum(before.course, added),
    final: now.final,
  };
}

/** @param {Cell[]} cells @param {Cell[]} more @returns {Cell[]} */
function sum(cells, more) {
  if (more.length === 0) return cells;
  /** @type {Map<string, Cell>} */
  const all = new Map();
  for (const [sent, written, count] of [...cells, ...more]) {
    const key = `${sent} ${written}`;
    all.set(key, [sent, written, Number(all.get(key)?.[2] ?? 0) + Number(count)]);
  }
  return [...all.values()];
}
