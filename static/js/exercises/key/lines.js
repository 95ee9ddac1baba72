/** Meant, keyed, copied: three lines, a column a symbol, so that the eye sees whether hand or ear lost it. */
import { html } from '../../../vendor/preact.js';
import { Sign, spoken } from '../../view/parts/sign.js';

/** @import { KeyColumn } from '../../wire.js' */
/** @typedef {'right' | 'other' | 'extra' | 'missed' | 'blank' | ''} Kind */

/** @param {KeyColumn} column @returns {Kind} the sending, against what was meant */
const sendingOf = ({ meant, keyed }) => (keyed === meant ? 'right' : meant === '' ? 'extra' : keyed === '' ? 'missed' : 'other');

/** @param {KeyColumn} column @returns {Kind} the copy, against what was keyed */
function copyingOf({ keyed, copied }) {
  if (keyed === '') return '';
  if (copied === keyed) return 'right';
  return copied === '' ? 'missed' : copied === '_' ? 'blank' : 'other';
}

/** @param {readonly KeyColumn[]} columns @returns {KeyColumn[][]} */
function wordsOf(columns) {
  /** @type {KeyColumn[][]} */
  const words = [];
  for (const column of columns) {
    if (column.word || words.length === 0) words.push([]);
    words[words.length - 1].push(column);
  }
  return words;
}

/**
 * @param {object} props
 * @param {readonly KeyColumn[]} props.columns
 * @param {string} props.who  "yours" or "copied"; "" leaves that line out
 * @param {number} [props.of]  how many copied: a bar under each symbol says how many wrote it
 */
export function Lines({ columns, who, of = 0 }) {
  const isMeant = columns.some(({ meant }) => meant !== '');
  return html`<div class="sheet key-columns">${wordsOf(columns).map((word, w) => html`<div class="key-word" role="list" key=${w}>
    <span class="key-names soft" aria-hidden="true">${isMeant && html`<span>meant</span>`}<span>keyed</span>${who !== '' && html`<span>${who}</span>`}</span>
    ${word.map((column, i) => html`<span class="key-column" role="listitem" key=${i} aria-label=${described(column, who)}>
      ${isMeant && html`<span class="key-of-meant" aria-hidden="true">${column.meant !== '' && html`<${Sign} sign=${column.meant} />`}</span>`}
      <${Cell} sign=${column.keyed} kind=${isMeant ? sendingOf(column) : 'right'} />
      ${who !== '' && html`<${Cell} sign=${column.copied} kind=${copyingOf(column)} />`}
      ${of > 0 && column.keyed !== '' && html`<meter class="key-bar" min="0" max=${of} value=${column.right} aria-hidden="true"></meter>`}
    </span>`)}
  </div>`)}</div>
  <${Legend} columns=${columns} who=${who} of=${of} isMeant=${isMeant} />`;
}

/** @param {{ sign: string, kind: Kind }} props */
const Cell = ({ sign, kind }) => html`<span class="key-cell" data-kind=${kind} aria-hidden="true">${sign !== '' && html`<${Sign} sign=${sign} />`}</span>`;

/** @param {KeyColumn} column @param {string} who */
function described(column, who) {
  const { meant, keyed, copied } = column;
  const sent = keyed === '' ? `${spoken(meant)} meant, not keyed` : meant === '' ? `${spoken(keyed)} keyed` : `${spoken(meant)} meant, ${keyed === meant ? 'and keyed' : `${spoken(keyed)} keyed`}`;
  if (who === '' || keyed === '') return sent;
  return `${sent}, ${copied === '' ? 'nothing written' : `${spoken(copied)} written`}`;
}

/** @type {Partial<Record<Kind, string>>} */
const WORDS = { other: 'another', extra: 'added', missed: 'nothing', blank: 'your blank' };

/** @param {{ columns: readonly KeyColumn[], who: string, of: number, isMeant: boolean }} props */
function Legend({ columns, who, of, isMeant }) {
  const kinds = new Set(columns.flatMap((column) => [isMeant ? sendingOf(column) : '', who === '' ? '' : copyingOf(column)]));
  const said = /** @type {[Kind, string][]} */ (Object.entries(WORDS)).filter(([kind]) => kinds.has(kind));
  return html`<p class="key-legend soft">
    ${said.map(([kind, words]) => html`<span key=${kind}><i class="key-cell" data-kind=${kind} aria-hidden="true">${kind === 'missed' ? '' : kind === 'blank' ? html`<${Sign} sign="_" />` : 'x'}</i>${words}</span>`)}
    ${of > 0 && html`<span>bar: how many of ${of} wrote it</span>`}</p>`;
}

/** What was lost where, in words. @param {readonly KeyColumn[]} columns @param {number} of  how many copied */
export function lostIn(columns, of) {
  const sending = columns.filter((column) => column.meant !== '' && sendingOf(column) !== 'right');
  const hearing = columns.filter(({ keyed, right }) => keyed !== '' && right < of);
  return {
    sending: sending.map(({ meant, keyed }) => (keyed === '' ? `${meant} left out` : `${meant} as ${keyed}`)),
    copying: hearing.map(({ keyed, right, copied }) => `${keyed} by ${of - right} of ${of}${copied !== '' && copied !== keyed ? `, most wrote ${copied}` : ''}`),
  };
}
