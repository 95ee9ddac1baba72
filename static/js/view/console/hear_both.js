/** Two sounds one after the other, on this computer alone; the lamp is on for as long as they sound. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { isSounding, phaseAt } from '../../core/moment.js';
import { useLater, useTicking } from '../parts/use_store.js';
import { spoken } from '../parts/sign.js';
import { useConsole, useDesk } from './desk.js';

/** A pointer that only passes by starts nothing. */
const REST_MS = 500;

/**
 * A pair in words: both sounds come when the pointer rests on it, when its button gets the keyboard's focus, and by
 * the button.
 * @param {{ sent: string, written: string, children?: import('../../../vendor/preact/preact.js').ComponentChildren }} props
 */
export function Pair({ sent, written, children }) {
  const [rests, setRests] = useState(false);
  const [asked, setAsked] = useState(0);
  useLater(() => setAsked((count) => count + 1), rests ? REST_MS : null, [rests]);
  return html`<p class="pair" onPointerEnter=${() => setRests(true)} onPointerLeave=${() => setRests(false)}>
    ${children} <${HearBoth} sent=${sent} written=${written} asked=${asked} /></p>`;
}

/**
 * @param {{ sent: string, written: string, size?: string, asked?: number }} props
 *   asked: sounds whenever it grows, and when the keyboard comes to it
 */
export function HearBoth({ sent, written, size = 'small', asked }) {
  const { hearBoth, roomMs } = useDesk();
  const run = useConsole((state) => state.run);
  const classSounds = useTicking(() => isSounding(phaseAt(run, roomMs())));
  const [soundsMs, setSoundsMs] = useState(0);
  const hear = () => void (classSounds || hearBoth(sent, written).then(setSoundsMs));
  useEffect(() => {
    if (asked !== undefined && asked > 0 && soundsMs === 0) hear();
  }, [asked]);
  const onFocus = (/** @type {{ currentTarget: HTMLElement }} */ { currentTarget }) => {
    if (asked !== undefined && soundsMs === 0 && currentTarget.matches(':focus-visible')) hear();
  };
  useLater(() => setSoundsMs(0), soundsMs === 0 ? null : soundsMs, [soundsMs]);
  return html`<button type="button" class="button" data-size=${size} aria-label=${`Hear both, ${spoken(sent)} and ${spoken(written)}`}
    disabled=${classSounds} title=${classSounds ? 'When the class has stopped sounding' : undefined}
    aria-pressed=${soundsMs > 0 ? 'true' : 'false'} onFocus=${onFocus} onClick=${hear}>
    ${soundsMs > 0 && html`<span class="dot" data-is="now"></span>`}Hear both</button>`;
}
