/** A run, typed: count-in, sheet and keys while it sounds, then time to tidy up. */
import { html, useEffect } from '../../../vendor/preact.js';
import { clockFace, secondsLeft, tidyEndRoomMs } from '../../core/moment.js';
import { practiceNote } from '../../core/practice.js';
import { Sheet } from '../parts/sheet.js';
import { useLearner, useMoment, usePage, usePhase, useSettings } from './context.js';
import { Keys } from './keys.js';
import { Lamp } from './lamp.js';
import { TidyTools } from './tidy.js';

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
    <main class="desk">
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
  return html`<div class="desk-head"><div><h1>${title}</h1><p class="soft">${line}</p></div>${aside}</div>`;
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
  return html`<div class="desk-foot">
    <p class="soft">You will see it beside what was sent when your instructor shows the copies.</p>
    ${canGoBack && html`<button class="button" onClick=${actions.takeBack}>Go on tidying</button>`}
  </div>`;
}
