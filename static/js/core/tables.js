/** The class tables of every scope: what the server tells of the run at hand, on top of what was before it. Pure. */
import { isClosed } from './moment.js';

/** @import { TableOut, TablesBefore } from '../wire.js' */
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

/**
 * Why a table holds nothing.
 * @param {import('./findings.js').Scope} scope
 * @param {Pick<import('./console_state.js').ConsoleState, 'run' | 'table' | 'room'>} state
 */
export function emptyWords(scope, { run, table, room }) {
  const isOver = isClosed(run?.phase);
  if (scope === 'run' && run !== null && run.shown !== '') return 'Nobody writes in this run: the class listens, and sees the name.';
  if (isOver && !(table?.final ?? true)) return 'The copies are being read …';
  if (scope !== 'run') return 'No counted run yet.';
  const asides = room?.runs.find((one) => one.push === run?.push)?.asides ?? [];
  if (asides.some(({ seat, first }) => seat === 0 && first === 0)) return 'This run is set aside: nothing of it counts.';
  return isOver ? 'Nothing was written in this run.' : 'Nothing written in this run yet. Each mark shows up here as it comes in.';
}
