/** Every part as a learner has it: a cell a group, a count beside. What is missing is hatched. */
import { html } from '../../../vendor/preact.js';
import { Sent } from './parts.js';
import { costInWords } from './words.js';

/** @import { NetForLearner, NetRow } from '../../wire.js' */
/** @typedef {{ part: number, place: number, group: string, state: string }} Cell */

/** What a letter of `states` says to who cannot see the cell. @type {Record<string, string>} */
const SPOKEN = { o: '', c: '', f: ', by a fill', m: 'missing', l: 'not sent yet', p: 'on your paper', w: ', was another' };

/** @param {readonly NetRow[]} rows @returns {[number, number]} */
export function inPlace(rows) {
  const states = rows.map((row) => row.states).join('');
  return [[...states].filter((state) => state !== 'm' && state !== 'l').length, states.length];
}

/**
 * Every part with its count; what can be named is a button where something is composed.
 * @param {{ shown: NetForLearner, only?: readonly number[], onTap?: (cell: Cell) => void, isNamed?: (cell: Cell) => boolean,
 *   isAsked?: (cell: Cell) => boolean }} props
 */
export function Rows({ shown, only, onTap, isNamed = () => false, isAsked = () => false }) {
  const shownRows = shown.rows.map((row, part) => ({ row, part })).filter(({ part }) => only === undefined || only.includes(part));
  return html`<ul class="net-rows sheet" role="list">
    ${shownRows.map(({ row, part }) => {
      const [place, of] = inPlace([row]);
      return html`<li key=${part}>
        <span class="net-whose"><span class="sign">${row.call}</span> <small>${shown.own.includes(part) ? 'yours' : row.name || 'the server'}</small></span>
        <span class="net-count"><b>${place}</b> of ${of}</span>
        <span class="net-cells">${[...row.states].map((state, i) => {
          const cell = { part, place: i, group: row.groups[i], state };
          return html`<${CellOf} key=${i} cell=${cell} sent=${row.sent?.[i]} onTap=${onTap} named=${isNamed(cell)} asked=${isAsked(cell)} />`;
        })}</span>
      </li>`;
    })}
  </ul>`;
}

/** @param {{ cell: Cell, sent?: string, onTap?: (cell: Cell) => void, named: boolean, asked: boolean }} props */
function CellOf({ cell, sent, onTap, named, asked }) {
  const { state, group, place } = cell;
  const words = `${group}${SPOKEN[state] ?? ''}`;
  const text = state === 'm' ? (asked ? '?' : '') : state === 'p' ? '✎' : state === 'l' ? '' : group;
  const wrong = state === 'w' && html`<small class="net-was">${sent}</small>`;
  const missed = state === 'm' && sent !== undefined && sent !== '' && html`<small class="net-was">${sent}</small>`;
  if (onTap === undefined || state === 'l') {
    return html`<span class="net-cell sign" data-is=${state} data-asked=${asked ? '' : undefined}><span class="unseen">${state === 'm' || state === 'l' || state === 'p' ? `group ${place + 1} ${words}` : ''}</span>${text}${wrong}${missed}</span>`;
  }
  return html`<button type="button" class="net-cell sign" data-is=${state} data-asked=${asked ? '' : undefined} aria-pressed=${named ? 'true' : 'false'}
    aria-label=${`group ${place + 1}, ${words}`} onClick=${() => onTap(cell)}>${text}</button>`;
}

/** One's own last question where it was wrong, with the right form. @param {{ last: NetForLearner['last'] }} props */
export function LastWrong({ last }) {
  if (last === null) return null;
  return html`<div class="net-last" role="status"><p><${Sent} text=${last.text} marked=${last.marked} /><small>${costInWords(last)}</small></p>
    ${last.right !== '' && html`<p><${Sent} text=${last.right} marked=${last.right_marked} is="right" /><small>the right form</small></p>`}</div>`;
}
