/** The console: this evening, now, the room. One page, no scrolling while a run sounds. */
import { html, useState } from '../../../vendor/preact.js';
import * as copying from '../../exercises/copying.js';
import { inTab } from '../../shell/storage.js';
import { AsideDialog } from './aside.js';
import { CellDialog } from './cell_dialog.js';
import { ClassTable } from './class_table.js';
import { Composer } from './composer.js';
import { DeskContext, useConsole, useDialog } from './desk.js';
import { Evening } from './evening.js';
import { ExerciseCard } from './exercise_card.js';
import { Header } from './header.js';
import { HelpDialog } from './help_dialog.js';
import { JoinDialog, JoinPanel } from './join_panel.js';
import { KeyInDialog } from './key_in_dialog.js';
import { Banners, Notices } from './notices.js';
import { AdviceCard } from './plan/advice_card.js';
import { CourseDialog } from './plan/course_dialog.js';
import { ProgressDialog } from './plan/progress_dialog.js';
import { ReviewDialog } from './plan/review_dialog.js';
import { RoomPanel } from './room_panel.js';
import { RoomsDialog } from './rooms_dialog.js';
import { HearingChoice, HearingDialog, KnownDialog, SoundDialog } from './settings_dialogs.js';
import { SheetsDialog } from './sheets_dialog.js';
import { TableDialog } from './table_dialog.js';

/** @param {{ desk: import('./desk.js').Desk }} props */
export function ConsolePage({ desk }) {
  return html`<${DeskContext.Provider} value=${desk}><${Desk} /><//>`;
}

function Desk() {
  const told = useConsole((state) => state.room !== null);
  if (!told) return html`<${Waiting} />`;
  return html`<div class="desk">
      <${Header} />
      <${Banners} />
      <main class="middle"><${Middle} /></main>
      <${Evening} />
      <${RoomPanel} />
    </div>
    <${OpenDialog} />`;
}

/** Before the room answers; when there is none by that code, the others are a button away. */
function Waiting() {
  const open = useDialog();
  const gone = useConsole((state) => state.gone);
  return html`<${Banners} /><main class="waiting-page">
      <div role="status"><h1>${gone === '' ? 'Looking for the room …' : gone}</h1></div>
      <button type="button" class="button" onClick=${() => open('rooms')}>Other rooms</button>
    </main><${OpenDialog} />`;
}

/** Asked once an evening in this tab, of the room by this code. */
const HEARING_ASKED = 'hearing_asked';

function Middle() {
  const run = useConsole((state) => state.run);
  const composing = useConsole((state) => state.composing);
  const nobody = useConsole((state) => state.seats.length === 0);
  const code = useConsole((state) => state.room?.code ?? '');
  const [settled, setSettled] = useState(inTab.read(HEARING_ASKED) === code);
  const exercise = useConsole((state) => state.exercise);
  if (exercise !== null && run?.push === exercise.run && !composing) {
    return html`<${ExerciseCard} exercise=${exercise} run=${run} /><${AdviceCard} />${run.counted && html`<${ClassTable} />`}`;
  }
  if (run !== null && !composing) return html`<${copying.Console} detail=${run} />`;
  if (run !== null) return html`<${AdviceCard} /><${Composer} /><${ClassTable} />`;
  const settle = () => {
    inTab.write(HEARING_ASKED, code);
    setSettled(true);
  };
  return html`
    <section class="join-now-panel" aria-labelledby="join-title">
      <h2 id="join-title">${nobody ? 'Nobody is in yet' : 'Join now'}</h2><${JoinPanel} brief=${settled} /></section>
    ${settled ? html`<${Composer} />` : html`<section class="sheet now first-question" aria-labelledby="hearing-title">
      <h2 id="hearing-title">How does the class hear tonight?</h2><${HearingChoice} onChosen=${settle} /></section>`}`;
}

const DIALOGS = /** @type {Record<string, () => import('../../../vendor/preact/preact.js').ComponentChildren>} */ ({
  join: JoinDialog, sound: SoundDialog, hearing: HearingDialog, known: KnownDialog, rooms: RoomsDialog,
  help: HelpDialog, cell: CellDialog, aside: AsideDialog, table: TableDialog, 'key in': KeyInDialog, sheets: SheetsDialog,
  course: CourseDialog, review: ReviewDialog, progress: ProgressDialog,
});

/** The open dialog, which says itself what goes wrong in it; without one the page does. */
function OpenDialog() {
  const dialog = useConsole((state) => state.dialog);
  const Shown = DIALOGS[dialog];
  return Shown === undefined ? html`<${Notices} />` : html`<${Shown} key=${dialog} />`;
}
