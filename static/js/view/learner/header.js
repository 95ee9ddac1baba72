/** The line over every screen: who, what is on, help, settings. And the banners under it, when something is wrong. */
import { html, useEffect, useState } from '../../../vendor/preact.js';
import { leavesSoundToOthers } from '../../core/learner_state.js';
import { Icon } from '../parts/icons.js';
import { useTicking } from '../parts/use_store.js';
import { useLearner, usePage, usePhase, useSettings } from './context.js';
import { HearingDialog } from './hearing_help.js';
import { SettingsDialog } from './settings.js';

export function Header() {
  const { actions } = usePage();
  const [open, setOpen] = useState('');
  const name = useLearner((state) => state.seat?.name ?? '');
  const code = useLearner((state) => state.code);
  const soundDone = useLearner((state) => state.soundDone);
  const push = useLearner((state) => state.push?.push ?? 0);
  useEffect(() => setOpen(''), [push]); // a run begins: nothing lies over it
  const cannotHear = () => {
    actions.cannotHear();
    setOpen('hearing');
  };
  return html`
    <header class="top">
      <p class="who"><b>${name}</b><small class="sign soft">${code}</small></p>
      <${Status} />
      <p class="tools">
        ${soundDone && html`<button class="button" data-size="small" data-kind="bare" onClick=${cannotHear}>
          I can’t hear</button>`}
        <button class="button" data-kind="bare" aria-label="Settings" onClick=${() => setOpen('settings')}>
          <${Icon} of="settings" />
        </button>
      </p>
    </header>
    ${open === 'hearing' && html`<${HearingDialog} onClose=${() => setOpen('')} />`}
    ${open === 'settings' && html`<${SettingsDialog} onClose=${() => setOpen('')} />`}`;
}

/** What is on now, in a word. */
function Status() {
  const phase = usePhase();
  if (phase !== 'sounding' && phase !== 'paused') return html`<p class="status"></p>`;
  return html`<p class="status"><span class="dot" data-is=${phase === 'sounding' ? 'now' : ''}></span>${
    phase === 'sounding' ? 'listening' : 'paused'}</p>`;
}

const OUT_OF_STEP_MS = 30;
/** Until then the clock is still learning. */
const SURE_COUNT = 60;

export function Banners() {
  return html`<${ConnectionBanner} /><${SoundBanner} /><${HelpBanner} /><${StepBanner} />`;
}

/** As long as the console shows it, the page does. */
function HelpBanner() {
  const { actions } = usePage();
  const asked = useLearner((state) => state.askedHelp && state.soundDone);
  if (!asked) return null;
  return html`<p class="banner" role="status"><b>Your instructor sees that you can’t hear.</b>
    <button class="button" data-size="small" onClick=${actions.hearNow}>I hear it now</button></p>`;
}

function ConnectionBanner() {
  const lost = useLearner((state) => state.connection === 'lost' && !state.elsewhere);
  const seated = useLearner((state) => state.seat !== null);
  if (!lost) return null;
  return html`<p class="banner" data-is="alert" role="status">
    <span><b>No connection.</b> ${seated
      ? 'Write on: everything is kept here, and sent when the connection is back.'
      : 'Trying again.'}</span></p>`;
}

function SoundBanner() {
  const { actions } = usePage();
  const wanted = useLearner((state) => state.seat?.inside === true && state.soundDone && !leavesSoundToOthers(state));
  const silent = useSettings((settings) => settings.silent);
  const audio = useLearner((state) => state.audio);
  if (!wanted || silent || audio === 'running') return null;
  const what = audio === 'locked' ? 'The sound is off.' : 'The sound was interrupted.';
  return html`<p class="banner" data-is="alert" role="status"><b>${what}</b>
    <button class="button" data-size="small" data-kind="primary" onClick=${actions.unlock}>Turn it on</button></p>`;
}

/** In one room, a late sound smears everybody's. */
function StepBanner() {
  const { actions, clockStatus } = usePage();
  const [seen, setSeen] = useState(false);
  const everyOne = useLearner((state) => state.class?.hearing === 'every' && state.audio === 'running');
  const silent = useSettings((settings) => settings.silent);
  const offMs = useTicking(() => {
    const { exchanges, uncertaintyMs } = clockStatus();
    return exchanges < SURE_COUNT ? 0 : Math.round(uncertaintyMs);
  });
  if (seen || !everyOne || silent || offMs <= OUT_OF_STEP_MS) return null;
  return html`<p class="banner" role="status">
    <span>This device may sound ${offMs} ms out of step. Use headphones, or let the others sound.</span>
    <span><button class="button" data-size="small" onClick=${() => actions.set({ silent: true })}>Keep it silent</button>
    <button class="button" data-size="small" data-kind="bare" onClick=${() => setSeen(true)}>I use headphones</button></span>
  </p>`;
}

/** A quiet word at the foot of the page: why a key did nothing, what the server refused. */
export function QuietWord() {
  const { store } = usePage();
  const word = useLearner((state) => state.word);
  const onJoin = useLearner((state) => state.seat === null);
  if (onJoin) return null;
  return html`<p class="quiet-word" role="status" data-empty=${word.sentence === ''} key=${word.n}
    onClick=${() => store.dispatch({ type: 'said', sentence: '' })}>${word.sentence}</p>`;
}
