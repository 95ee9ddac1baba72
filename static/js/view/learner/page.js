/** The learner's page: one screen at a time, under one header. */
import { html, render } from '../../../vendor/preact.js';
import { screenOf, sheetScreen } from '../../core/learner_state.js';
import * as copying from '../../exercises/copying.js';
import { Exercise } from '../parts/exercise.js';
import { PageProvider, useLearner, usePage, usePhase } from './context.js';
import { Banners, Header, QuietWord } from './header.js';
import { Join } from './join.js';
import { ChooseWay, Ready } from './ready.js';
import { AtTheDoor, Elsewhere, Gone } from './seat_screens.js';
import { SoundCheck } from './sound_check.js';
import { UntilNextTime } from './until_next_time.js';

/** @import { Screen } from '../../core/learner_state.js' */

/** What is not an exercise's. @type {Partial<Record<Screen, () => import('../../../vendor/preact/preact.js').ComponentChildren>>} */
const SCREENS = {
  join: Join, door: AtTheDoor, sound: SoundCheck, way: ChooseWay, ready: Ready, gone: Gone, elsewhere: Elsewhere,
  'until next time': UntilNextTime, exercise: OtherExercise,
};

/** Another exercise than copying; whoever copies in it has their sheet there. */
function OtherExercise() {
  const { actions, roomMs } = usePage();
  const exercise = useLearner((state) => state.exercise);
  const seat = useLearner((state) => state.seat?.number ?? 0);
  const screen = useLearner(sheetScreen);
  const push = useLearner((state) => state.push?.push ?? 0);
  const sheet = copying.isSheet(screen) ? html`<${copying.Learner} screen=${screen} key=${`${screen} ${push}`} />` : null;
  return exercise && html`<${Exercise} exercise=${exercise} page="Learner" send=${actions.send} roomMs=${roomMs} seat=${seat} sheet=${sheet} />`;
}

function LearnerPage() {
  const screen = useLearner(screenOf);
  const push = useLearner((state) => state.push?.push ?? 0);
  const seated = screen !== 'join' && screen !== 'gone' && screen !== 'elsewhere';
  return html`
    ${seated && html`<${Header} />`}
    <${Banners} />
    <${copying.isSheet(screen) ? copying.Learner : SCREENS[screen]} screen=${screen} key=${`${screen} ${push}`} />
    <${QuietWord} />
    <${Announced} screen=${screen} />`;
}

/**
 * What a screen reader says by itself: where the class is, and only when nothing sounds.
 * @param {{ screen: Screen }} props
 */
function Announced({ screen }) {
  const phase = usePhase();
  const handedIn = useLearner((state) => state.handedIn);
  const tidying = (screen === 'run' || screen === 'paper') && phase === 'tidying' && !handedIn;
  /** @type {Partial<Record<Screen, string>>} */
  const words = { reveal: 'The copies are shown.', closed: 'This run is closed.', 'until next time': 'What to hear again until next time.' };
  return html`<p class="unseen" role="status">${tidying ? 'The sound is over.' : (words[screen] ?? '')}</p>`;
}

/** @param {import('./context.js').Page} page */
export function showLearner(page) {
  const root = /** @type {HTMLElement} */ (document.getElementById('page'));
  render(html`<${PageProvider} value=${page}><${LearnerPage} /><//>`, root);
}
