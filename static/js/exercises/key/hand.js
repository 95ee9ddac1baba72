/** A hand drawn: hollow marks as meant over solid ones as sent, then the five kinds of lengths, in dits. */
import { html } from '../../../vendor/preact.js';
import { tonesOf } from '../../core/tones.js';
import { Sign } from '../../view/parts/sign.js';

/** @import { FistLine, HandOut, KeyedLetter } from '../../wire.js' */

/** Words a minute at which a dit lasts a thousand ms, so that lengths come out in thousandths of a dit. */
const DIT_A_SECOND = 1.2;
const DIT = 8;
const INSIDE = 'gap inside a letter';
const SPAN = 10;

/** @param {{ hand: HandOut, whose: string, hear?: ((edges: number[]) => void) | undefined }} props */
export function Hand({ hand, whose, hear }) {
  const worst = hand.lines.find((line) => line.is_worst);
  const widest = worst?.name === INSIDE ? widestGap(hand.letters) : null;
  return html`<section class="key-hand" aria-label=${whose}>
    <p class="soft">hollow: the ideal; solid: what the hand sent</p>
    <div class="sheet key-letters" role="img" aria-label=${`${hand.letters.map(({ sign }) => sign).join(' ')}, as meant and as sent`}>
      ${hand.letters.map((letter, i) => html`<${Letter} key=${i} letter=${letter} gap=${widest?.letter === i ? widest : null} />`)}
    </div>
    ${hand.advice !== '' && html`<p class="key-advice">${hand.advice}${worst && html` <span class="soft">${worst.name}: ${worst.median} dits, where ${worst.ideal} is meant.</span>`}</p>`}
    <ul class="key-lines" role="list">${hand.lines.map((line) => html`<${Line} key=${line.name} line=${line} />`)}</ul>
    ${hear && html`<p class="key-hear"><button type="button" class="button" onClick=${() => hear(bothOf(hand))}>Hear both</button>
      <span class="soft">as it was sent, then as it was meant</span></p>`}
    <p class="soft">${hand.praise} ${[`${Math.round(hand.wpm)} wpm`, hand.ratio !== null && `a dah is ${hand.ratio} dits`,
      `lengths within ${Math.round(hand.spread * 100)} %`].filter(Boolean).join(', ')}.</p>
  </section>`;
}

/** @param {string} sign @returns {number[]} as meant, in dits */
const idealOf = (sign) => tonesOf(sign, DIT_A_SECOND).map((ms) => ms / 1000);

/** @typedef {{ letter: number, from: number, to: number }} Gap */

/** The widest gap inside a letter, where gaps inside letters are the thing to mend. @param {readonly KeyedLetter[]} letters @returns {Gap | null} */
function widestGap(letters) {
  const gaps = letters.flatMap(({ edges }, letter) => edges.slice(1, -1).flatMap((from, i) =>
    (i % 2 === 0 ? [{ letter, from, to: edges[i + 2] }] : [])));
  return gaps.reduce((/** @type {Gap | null} */ widest, gap) => (widest === null || gap.to - gap.from > widest.to - widest.from ? gap : widest), null);
}

/** @param {{ letter: KeyedLetter, gap: Gap | null }} props  gap: it is marked with its length */
function Letter({ letter, gap }) {
  const ideal = idealOf(letter.sign);
  const width = (Math.max(ideal[ideal.length - 1], letter.edges[letter.edges.length - 1]) + 0.5) * DIT;
  return html`<span class="key-letter" data-ends-word=${letter.ends_word ? '' : undefined}><${Sign} sign=${letter.sign} />
    <svg width=${width} height="38" viewBox=${`0 0 ${width} 38`} aria-hidden="true">
      ${marksOf(ideal).map(([on, off]) => html`<rect class="key-ideal" key=${on} x=${on * DIT + 1} y="2" width=${(off - on) * DIT - 2} height="10" rx="2" />`)}
      ${marksOf(letter.edges).map(([on, off]) => html`<rect class="key-sent" key=${on} x=${on * DIT} y="18" width=${(off - on) * DIT} height="12" rx="2" />`)}
      ${gap && html`<path class="key-widest" d=${`M${gap.from * DIT} 31v4H${gap.to * DIT}v-4`} />`}
    </svg>${gap && html`<span class="key-gap">${(gap.to - gap.from).toFixed(1)} dits</span>`}</span>`;
}

/** @param {readonly number[]} edges @returns {[number, number][]} */
const marksOf = (edges) => edges.flatMap((on, i) => (i % 2 === 0 ? [/** @type {[number, number]} */ ([on, edges[i + 1]])] : []));

/** @param {{ line: FistLine }} props */
function Line({ line }) {
  const x = (/** @type {number} */ dits) => (Math.min(dits, SPAN) / SPAN) * 100;
  return html`<li data-is=${line.is_worst ? 'worst' : undefined}>
    <span>${line.name}</span>
    <svg viewBox="0 0 100 16" preserveAspectRatio="none" aria-hidden="true">
      <line class="key-axis" x1="0" x2="100" y1="8" y2="8" />
      <rect class="key-band" x=${x(line.low)} width=${Math.max(0.5, x(line.high) - x(line.low))} y="4" height="8" />
      ${line.dits.map((dits, i) => html`<rect class="key-dot" key=${i} x=${x(dits) - 0.4} y=${7 + ((i * 5) % 3) - 1} width="0.8" height="2" />`)}
      <rect class="key-median" x=${x(line.median) - 0.6} width="1.2" y="1" height="14" />
      <line class="key-meant" x1=${x(line.ideal)} x2=${x(line.ideal)} y1="0" y2="16" />
    </svg>
    <span><strong>${line.median.toFixed(1)}</strong> <span class="soft">of ${line.ideal}</span></span>
  </li>`;
}

/** As it was sent, a while of silence, and as it was meant, at the hand's own speed. @param {HandOut} hand @returns {number[]} */
function bothOf({ letters, dit_ms: ditMs }) {
  const from = letters[0]?.at ?? 0;
  const sent = letters.flatMap(({ at, edges }) => edges.map((edge) => (at - from + edge) * ditMs));
  let at = (sent[sent.length - 1] ?? 0) + 1000;
  const meant = letters.flatMap(({ sign, ends_word: endsWord }) => {
    const own = tonesOf(sign, 1200 / ditMs, at);
    at = own[own.length - 1] + (endsWord ? 7 : 3) * ditMs;
    return own;
  });
  return [...sent, ...meant];
}
