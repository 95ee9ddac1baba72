/** Two sounds one after the other, on this computer alone; the lamp is on for as long as they sound. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { spoken } from '../parts/sign.js';
import { useDesk } from './desk.js';

/** @param {{ sent: string, written: string, size?: string }} props */
export function HearBoth({ sent, written, size = 'small' }) {
  const { hearBoth } = useDesk();
  const [soundsMs, setSoundsMs] = useState(0);
  useEffect(() => {
    if (soundsMs === 0) return undefined;
    const timer = setTimeout(() => setSoundsMs(0), soundsMs);
    return () => clearTimeout(timer);
  }, [soundsMs]);
  return html`<button type="button" class="button" data-size=${size} aria-label=${`Hear both, ${spoken(sent)} and ${spoken(written)}`}
    aria-pressed=${soundsMs > 0 ? 'true' : 'false'} onClick=${() => hearBoth(sent, written).then(setSoundsMs)}>
    ${soundsMs > 0 && html`<span class="dot" data-is="now"></span>`}Hear both</button>`;
}
