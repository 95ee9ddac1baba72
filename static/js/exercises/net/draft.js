/** A question while it is composed: what taps on the parts make of it. Pure. */

/** @import { Cell } from './rows.js' */
/** What is composed so far: whom, what (null: not chosen yet), which groups are named. @typedef {{ to: number, form: string | null, named: string[] }} Draft */

/** A tap on a group names it, a tap on a gap only says whose part is meant. @param {Draft} draft @param {Cell} cell @returns {Draft} */
export function tapped({ to, form, named }, { part, group }) {
  const here = part === to ? named : [];
  if (group === '') return { to: part, form, named: here };
  if (here.includes(group)) return { to: part, form, named: here.filter((word) => word !== group) };
  return { to: part, form, named: [...here, group].slice(form === 'BN' ? -2 : -1) };
}
