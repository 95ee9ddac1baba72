/** Ready for a run: how to write is chosen, all is set, nothing to do. */
import { html } from '../../../vendor/preact.js';
import { leavesSoundToOthers } from '../../core/learner_state.js';
import { Icon } from '../parts/icons.js';
import { useLearner, usePage, useSettings } from './context.js';

export function Ready() {
  const { actions, remembers } = usePage();
  const title = useLearner((state) => state.class?.title ?? '');
  const way = useLearner((state) => state.way);
  const other = way === 'typing' ? 'paper' : 'typing';
  const words = { typing: 'typing while listening', paper: 'pencil and paper' };
  return html`
    <main class="column">
      <h1>${title}</h1>
      <p>You are in. The next run starts by itself, so keep this page open.</p>
      <section class="sheet ready-list">
        <${SoundLine} />
        <div>
          <span><${Icon} of=${way === 'typing' ? 'type' : 'pencil'} />${words[way]}</span>
          <button class="button" data-size="small" onClick=${() => actions.chooseWay(other)}>
            ${other === 'typing' ? 'Type instead' : 'On paper'}
          </button>
        </div>
      </section>
      <p class="soft">Write something for every sound. A missed one gets a blank, and on you go: a blank is an honest
        answer.</p>
      ${!remembers && html`<p class="soft">This window keeps nothing (a private one?): if it is closed, your seat is lost.</p>`}
    </main>`;
}

function SoundLine() {
  const { actions } = usePage();
  const others = useLearner(leavesSoundToOthers);
  const silent = useSettings((settings) => settings.silent);
  const running = useLearner((state) => state.audio === 'running');
  if (others || silent) {
    return html`<div><span><${Icon} of="silence" />sound comes from elsewhere in the room</span></div>`;
  }
  if (!running) {
    return html`<div><span><${Icon} of="silence" />sound is off</span></div>`; // the banner above turns it on
  }
  return html`<div><span><${Icon} of="sound" />sound is on</span>
    <button class="button" data-size="small" onClick=${actions.test}>Test</button></div>`;
}

/** Type while listening, or pencil and paper. */
export function ChooseWay() {
  const { actions } = usePage();
  return html`
    <main class="column">
      <h1>How will you write?</h1>
      <button class="button way" onClick=${() => actions.chooseWay('typing')}>
        <${Icon} of="type" />
        <span><b>Type while listening</b><small>with keys on this page, or on a keyboard</small></span>
      </button>
      <button class="button way" onClick=${() => actions.chooseWay('paper')}>
        <${Icon} of="pencil" />
        <span><b>Pencil and paper</b><small>you key your sheet in when the sound is over</small></span>
      </button>
      <p class="soft">Both are real copying. You can change it between runs.</p>
    </main>`;
}
