/** How learners get in: the code in large, the addresses of this computer, and what to look at when no phone comes. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { Dialog } from './dialog.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { bareUrl, isThisComputer } from '../../core/addresses.js';

const LOOK_EVERY_MS = 3000;

/** The addresses, looked at again for as long as no phone has come. */
function usePlaces(/** @type {string} */ code) {
  const { api, dispatch } = useDesk();
  const [places, setPlaces] = useState(/** @type {{ urls: import('./desk.js').Place[], reached: boolean } | null} */ (null));
  useEffect(() => {
    let timer = 0;
    const look = () => api.places(code).then((found) => {
      setPlaces(found);
      if (!found.reached) timer = window.setTimeout(look, LOOK_EVERY_MS);
    }, (fault) => dispatch({ type: 'noticed', sentence: fault.message }));
    look();
    return () => clearTimeout(timer);
  }, [code]);
  return places;
}

/** @param {{ brief?: boolean }} props  brief: beside other work; of one height, so that nothing jumps when somebody joins */
export function JoinPanel({ brief = false }) {
  const code = useConsole((state) => state.room?.code ?? '');
  const places = usePlaces(code);
  const [chosen, setChosen] = useState(0);
  const urls = places?.urls ?? [];
  const place = urls[Math.min(chosen, urls.length - 1)];
  return html`<div class="join" data-brief=${brief ? '' : undefined}>
    <div class="join-now">
      ${place && html`<img class="qr" src=${place.qr_svg} alt=${`QR code of ${place.url}`} width="200" height="200" />`}
      <div class="join-words">
        <p>Scan the code, or open ${place ? html`<strong class="url">${bareUrl(place.url)}</strong>` : 'the address below'} and join with</p>
        <p class="sign code big-code">${code}</p>
        <${Reached} places=${places} brief=${brief} />
      </div>
    </div>
    ${urls.length > 1 && !brief && html`<fieldset class="addresses">
      <legend class="label">Addresses of this computer, by network</legend>
      ${urls.map(({ url, interface: name }, i) => html`<label class="switch" data-size="small" key=${url}>
        <input type="radio" name="place" checked=${i === chosen} onChange=${() => setChosen(i)} />
        <span class="url">${bareUrl(url)}</span> <span class="soft">${name}</span></label>`)}
    </fieldset>`}
    ${place && !brief && html`<p class="soft">The wall on another computer; this link only shows it:<br />
      <a class="url" href=${place.wall} target="_blank">${bareUrl(place.wall)}</a></p>`}
  </div>`;
}

/** @param {{ places: { urls: import('./desk.js').Place[], reached: boolean } | null, brief: boolean }} props */
function Reached({ places, brief }) {
  const open = useDialog();
  if (places === null) return html`<p class="soft">Looking for this computer’s addresses …</p>`;
  if (places.urls.every(({ url }) => isThisComputer(url))) return html`<p class="soft">Only this computer can open this address.</p>`;
  if (places.reached) return html`<p><span class="dot" data-is="done"></span> A learner’s browser has reached this address.</p>`;
  if (brief) {
    return html`<p><span class="dot"></span> No phone has reached this address yet.
      <button type="button" class="button" data-kind="bare" data-size="small" onClick=${() => open('join')}>What to look at</button></p>`;
  }
  return html`<p><span class="dot"></span> No phone has reached this address yet.</p>
    <ul class="quiet-list soft">
      <li>Is the phone in the same Wi-Fi as this computer, and its mobile data off?</li>
      <li>A guest network often keeps its devices apart: use the main one, or this computer’s hot spot.</li>
      <li>A firewall on this computer may ask, or silently refuse: allow this program in private networks.</li>
    </ul>`;
}

export function JoinDialog() {
  return html`<${Dialog} title="Join this class"><${JoinPanel} /><//>`;
}
