/** A paper sheet keyed in for a seat without a device. */
import { html, useState } from '../../../vendor/preact.js';
import { readSheet } from '../../core/copy.js';
import { submitted, typed } from '../parts/fields.js';
import { Dialog } from './dialog.js';
import { useConsole, useDesk, useDialog } from './desk.js';
import { Palette } from './palette.js';
import { SentText } from './signs.js';

const KEYS_A_MESSAGE = 200;

/** As sheets are read. @param {string} signs */
const inFives = (signs) => signs.replace(/.{5}(?=.)/gu, '$& ');

export function KeyInDialog() {
  const seatNumber = useConsole((state) => state.dialogAbout);
  const seat = useConsole((state) => state.seats.find((one) => one.seat === state.dialogAbout));
  const run = useConsole((state) => state.run);
  const before = useConsole((state) => state.progress?.copies.find((copy) => copy.seat === state.dialogAbout)?.written ?? 0);
  const { send } = useDesk();
  const open = useDialog();
  const [text, setText] = useState('');
  const { signs, unknown } = readSheet(text);
  if (!seat || run === null) return null;

  const keep = submitted(() => {
    const keys = [...signs].map((sign) => ({ at_ms: 0, sign }));
    for (let k = 0; k < keys.length; k += KEYS_A_MESSAGE) {
      send('write_keys', { push: run.push, first: before + k, keys: keys.slice(k, k + KEYS_A_MESSAGE), seat: seatNumber });
    }
    if (send('hand_in', { push: run.push, seat: seatNumber })) open('');
  });
  return html`<${Dialog} title=${`The sheet of ${seat.name}`}>
    <form class="field" onSubmit=${keep}>
      <label for="sheet-text">What is written there, in ${run.title}</label>
      <textarea id="sheet-text" class="input" data-for="signs" rows="4" value=${text} spellcheck=${false}
        autocapitalize="characters" aria-describedby="sheet-help"
        autofocus=${true}
        onInput=${typed(setText)}></textarea>
      <p class="help" id="sheet-help">Spaces do not matter. <span class="sign">_</span> stands for a blank.${
        before > 0 ? ` ${before} marks are in already; these come after them.` : ''}</p>
      <${Palette} label="Put in a sign" chosen="" only=${run.symbols} onToggle=${(/** @type {string} */ sign) => setText(text + sign)} />
      ${unknown.length > 0 && html`<p class="objection" role="alert">Not a sound of the code: ${unknown.join(' ')}</p>`}
      <p class="sheet-read"><span class="soft">${signs.length} of ${run.sent}: </span><${SentText} text=${inFives(signs)} /></p>
      <div class="actions"><button type="submit" class="button" data-kind="primary"
        disabled=${signs.length === 0 || unknown.length > 0}>Hand the sheet in</button></div>
    </form>
  <//>`;
}
