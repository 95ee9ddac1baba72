/** A key of one's own through the audio input, in the pad's place: what it hears, or what is missing for it. */
import { html, useEffect, useRef, useState } from '../../../vendor/preact.js';
import { lackingForInput, openAudioKey } from '../../shell/audio_key.js';
import { createKey } from '../../shell/key.js';
import { useTicking } from '../../view/parts/use_store.js';

/** @import { AudioKey } from '../../shell/audio_key.js' */

/** Whoever has a key with a tone of its own hears that: a second one from this page would come back in. */
const SILENT = Object.freeze({ edge() {}, atPage: () => 0 });
const REFUSED = 'The browser gave this page no audio input. Allow it beside the address, and choose “own key” again.';

/** @param {{ onTone: (onMs: number, offMs: number) => void, onFlood: () => void }} props */
export function OwnKey({ onTone, onFlood }) {
  const [isDown, setDown] = useState(false);
  const [lacking, setLacking] = useState(lackingForInput);
  const input = useRef(/** @type {AudioKey | null} */ (null));
  const latest = useRef({ onTone, onFlood });
  latest.current = { onTone, onFlood };
  const isClear = useTicking(() => input.current?.isClear() ?? false, 500);
  useEffect(() => {
    let isWanted = lacking === '';
    if (!isWanted) return undefined;
    const key = createKey({
      sidetone: SILENT, onDown: setDown, onTone: (on, off) => latest.current.onTone(on, off), onFlood: () => latest.current.onFlood(),
    });
    openAudioKey((down, atMs) => (down ? key.press(atMs) : key.lift(atMs))).then((opened) => {
      if (isWanted) input.current = opened;
      else opened.close();
    }, () => setLacking(REFUSED));
    return () => {
      isWanted = false;
      input.current?.close();
      input.current = null;
    };
  }, []);
  if (lacking !== '') return html`<div class="key-pad"><p class="key-lamp" role="status">${lacking}</p></div>`;
  return html`<div class="key-pad" data-down=${isDown ? '' : undefined} role="group" aria-label="Own key">
    <p class="key-lamp"><span class="dot" data-is=${isDown ? 'now' : ''} aria-hidden="true"></span> ${isDown ? 'tone' : isClear ? 'silence' : 'no tone heard yet'}</p>
    <p class="key-lamp soft">Key a tone into the audio input: an oscillator by a cable, or one that the microphone hears. Nothing of it is kept but when its tones began and ended.</p>
  </div>`;
}
