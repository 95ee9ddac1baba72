/** First sound: one tap unlocks it, it starts quietly and grows. */
import { html, useState } from '../../../vendor/preact.js';
import { leavesSoundToOthers } from '../../core/learner_state.js';
import { Icon } from '../parts/icons.js';
import { useClassSounds, useLearner, usePage } from './context.js';
import { HearingHelp } from './hearing_help.js';
import { Volume } from './settings_fields.js';

export function SoundCheck() {
  const others = useLearner(leavesSoundToOthers);
  const running = useLearner((state) => state.audio === 'running');
  if (others) return html`<${OtherSounds} />`;
  return running ? html`<${Listening} />` : html`<${FirstTap} />`;
}

function FirstTap() {
  const { actions } = usePage();
  const classSounds = useClassSounds();
  const [failed, setFailed] = useState(false);
  const start = async () => {
    const running = await actions.unlock();
    setFailed(!running);
    if (running) setTimeout(actions.test, 300);
  };
  return html`
    <main class="column">
      <h1>First, the sound</h1>
      <p class="soft">${classSounds ? 'The class is listening to a run: one tap, and you hear it, too. Test tones can be played when it is over.'
        : 'A few test tones, very quiet at first, then growing to a comfortable volume.'}</p>
      <button class="button big-tap" data-kind="primary" data-size="wide" onClick=${start}>
        <${Icon} of="sound" /> Turn the sound on
      </button>
      ${failed && html`<p class="alert" role="alert">This browser did not let the page sound. Tap once more.</p>`}
      <${Caution} />
    </main>`;
}

function Listening() {
  const { store, actions } = usePage();
  const classSounds = useClassSounds();
  const [lost, setLost] = useState(false);
  const cannot = () => {
    actions.cannotHear();
    setLost(true);
  };
  const hear = () => {
    if (store.get().askedHelp) actions.hearNow();
    actions.soundDone();
  };
  return html`
    <main class="column">
      <h1>Can you hear ${classSounds ? 'the class’s run' : 'the test tones'}?</h1>
      <p class="soft">Set a volume that you could listen to for an hour.</p>
      <section class="sheet padded">
        <${Volume} />
        <button class="button" data-size="wide" disabled=${classSounds} onClick=${actions.test}>
          <${Icon} of="sound" /> Play the test tones
        </button>
        ${classSounds && html`<p class="help" role="status">What sounds now is the run that the class is listening to. Test tones can be
          played when it is over.</p>`}
      </section>
      <div class="pair">
        <button class="button" data-kind="primary" onClick=${hear}>I hear it</button>
        <button class="button" onClick=${cannot}>I can’t hear it</button>
      </div>
      ${lost ? html`<${HearingHelp} /><button class="button" onClick=${actions.soundDone}>Go on without sound</button>`
        : html`<${Caution} />`}
    </main>`;
}

function Caution() {
  return html`
    <ul class="cautions" role="list">
      <li><b>Headphones?</b> Put them on after the first tone, not before. Comfortable is loud enough.</li>
      <li><b>A phone?</b> The silent switch on its side silences this page, too. And let the screen stay on:
        a locked screen stops the sound.</li>
    </ul>`;
}

function OtherSounds() {
  const { actions } = usePage();
  return html`
    <main class="column">
      <h1>One loudspeaker for all</h1>
      <p>The tones come from a loudspeaker in the room. This device stays silent, and takes down what you write.</p>
      <button class="button" data-kind="primary" data-size="wide" onClick=${actions.soundDone}>Go on</button>
    </main>`;
}
