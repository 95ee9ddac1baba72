/** Meeting a sound: its name stands there while it sounds. Nothing to write. */
import { html } from '../../../vendor/preact.js';
import { isInSound, isSoundOver, symbolAt } from '../../core/moment.js';
import { Sign, spoken } from '../parts/sign.js';
import { useLearner, useMoment, usePhase, useSettings } from './context.js';
import { Lamp } from './lamp.js';

export function Meeting() {
  const shown = useLearner((state) => state.push?.shown ?? '');
  const lamp = useSettings((settings) => settings.lamp);
  const index = useMoment(symbolAt, -1);
  const sounds = useMoment(isInSound, false);
  const isOver = isSoundOver(usePhase());
  const sign = shown[Math.max(0, index)] ?? shown[0];
  return html`
    <main class="meeting">
      <h1>${isOver ? 'That was it. Your instructor goes on.' : 'Just listen.'}</h1>
      <p class="big-sign sheet" data-sounds=${sounds} aria-label=${spoken(sign)}><${Sign} sign=${sign} /></p>
      <p class="soft">One sound, one name. Nothing to count, nothing to write.</p>
      ${lamp && html`<${Lamp} />`}
    </main>`;
}
