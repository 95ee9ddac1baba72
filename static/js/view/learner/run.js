/** A run: typed, with count-in, sheet and keys while it sounds, then time to tidy up; closed; or only to be listened to. */
import { html, useEffect } from '../../../vendor/preact.js';
import { clockFace, isInSound, isSoundOver, secondsLeft, symbolAt, tidyEndRoomMs } from '../../core/moment.js';
import { practiceNote } from '../../core/purposes.js';
import { Icon } from '../parts/icons.js';
import { Sheet } from '../parts/sheet.js';
import { Sign, spoken } from '../parts/sign.js';
import { useLearner, useMoment, usePage, usePhase, useSettings } from './context.js';
import { Keys } from './keys.js';
import { Lamp } from './lamp.js';

export function Run() {
  const { actions } = usePage();
  const phase = usePhase();
  const handedIn = useLearner((state) => state.handedIn);
  // What stands when the time is over is the copy.
  useEffect(() => {
    if (phase === 'waiting' && !handedIn) actions.handIn();
  }, [phase, handedIn]);
  const isTidying = phase === 'tidying' && !handedIn;
  return html`
    <main class="writing">
      <${Heading} phase=${phase} />
      <${Copy} phase=${phase} />
      ${handedIn || phase === 'waiting' ? html`<${HandedIn} canGoBack=${phase === 'tidying'} />` : html`
        <div class="keyboard">
          ${isTidying && html`<${TidyTools} />`}
          <${SymbolKeys} />
        </div>`}
    </main>`;
}

/** @param {{ phase: import('../../core/moment.js').Phase }} props */
function Heading({ phase }) {
  const { actions } = usePage();
  const handedIn = useLearner((state) => state.handedIn);
  const inSeconds = useMoment((run, roomMs) => secondsLeft(run.start_room_ms - roomMs), 0);
  const left = useMoment((run, roomMs) => clockFace(tidyEndRoomMs(run) - roomMs), '');
  const lamp = useSettings((settings) => settings.lamp);
  const practice = useLearner((state) => practiceNote(state.push?.purpose));
  if (handedIn || phase === 'waiting') return html`<${Words} title="Handed in" line="Your copy is with your instructor." />`;
  if (phase === 'tidying') {
    return html`<${Words} title=${`Tidy up, ${left} left`} line="Tap a mark to change it."
      aside=${html`<button class="button" data-kind="primary" onClick=${actions.handIn}>Hand in</button>`} />`;
  }
  if (phase === 'paused') return html`<${Words} title="Paused" line="The sound goes on when your instructor says so." />`;
  if (phase === 'counting in') {
    return html`<${Words} title=${inSeconds > 0 ? `It starts in ${inSeconds}` : 'It starts'}
      line=${`${practice} Write what you hear, one mark for every sound.`.trim()} />`;
  }
  return html`<${Words} title="Write what you hear" line="Missed one? Blank, and on to the next."
    aside=${lamp && html`<${Lamp} />`} />`;
}

/** @param {{ title: string, line: string, aside?: import('../../../vendor/preact/preact.js').ComponentChildren }} props */
function Words({ title, line, aside }) {
  return html`<div class="writing-head"><div><h1>${title}</h1><p class="soft">${line}</p></div>${aside}</div>`;
}

/** @param {{ phase: import('../../core/moment.js').Phase }} props */
function Copy({ phase }) {
  const { actions } = usePage();
  const marks = useLearner((state) => state.marks);
  const place = useLearner((state) => state.place);
  const inserting = useLearner((state) => state.inserting);
  const handedIn = useLearner((state) => state.handedIn);
  const covers = useSettings((settings) => settings.cover);
  const writing = !handedIn && phase !== 'waiting';
  const tidying = writing && phase === 'tidying';
  return html`<${Sheet} marks=${marks} cover=${covers && (phase === 'sounding' || phase === 'paused')} caret=${writing}
    place=${tidying ? place : null} inserting=${inserting} onChoose=${tidying ? actions.choosePlace : undefined} />`;
}

function SymbolKeys() {
  const { actions } = usePage();
  const symbols = useLearner((state) => state.push?.symbols ?? '');
  return html`<${Keys} symbols=${symbols} onPress=${actions.press} />`;
}

/** @param {{ canGoBack: boolean }} props */
function HandedIn({ canGoBack }) {
  const { actions } = usePage();
  return html`<div class="writing-foot">
    <p class="soft">You will see it beside what was sent when your instructor shows the copies.</p>
    ${canGoBack && html`<button class="button" onClick=${actions.takeBack}>Go on tidying</button>`}
  </div>`;
}

/** Tools of the tidy-up time: to another mark, put one in before, take one out. */
function TidyTools() {
  const { actions } = usePage();
  const place = useLearner((state) => state.place);
  const count = useLearner((state) => state.marks.length);
  const inserting = useLearner((state) => state.inserting);
  const to = (/** @type {number} */ next) => actions.choosePlace(next >= count ? null : next);
  return html`
    <div class="tidy" role="group" aria-label="Tidy up">
      <button class="button" data-size="small" aria-label="Mark before" disabled=${count === 0 || place === 0}
        onClick=${() => to((place ?? count) - 1)}><${Icon} of="left" /></button>
      <button class="button" data-size="small" aria-label="Mark after" disabled=${place === null}
        onClick=${() => to((place ?? count) + 1)}><${Icon} of="right" /></button>
      <button class="button" data-size="small" aria-pressed=${inserting} disabled=${place === null}
        onClick=${() => actions.setInserting(!inserting)}><${Icon} of="insert" />Insert</button>
      <button class="button" data-size="small" disabled=${count === 0}
        onClick=${() => actions.erase()}><${Icon} of="erase" />Erase</button>
    </div>`;
}

/** What was sent is shown when the instructor says so. */
export function Closed() {
  const marks = useLearner((state) => state.marks);
  return html`
    <main class="writing">
      <div class="writing-head" role="status"><div>
        <h1>This run is over</h1>
        <p class="soft">Your instructor will show the copies beside what was sent.</p>
      </div></div>
      ${marks.length > 0 && html`<${Sheet} marks=${marks} />`}
    </main>`;
}

/** Meeting a sound: its name stands there while it sounds. Nothing to write. */
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
