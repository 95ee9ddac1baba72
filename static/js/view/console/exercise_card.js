/** A group exercise at hand: what it is, where it stands, and what its own file draws of it. */
import { html } from '../../../vendor/preact.js';
import { phaseAt } from '../../core/moment.js';
import { Exercise, ExerciseTitle } from '../parts/exercise.js';
import { useTicking } from '../parts/use_store.js';
import { useConsole, useDesk } from './desk.js';
import { Actions, PhaseLine } from './run_card.js';

/** @param {{ exercise: import('../../wire.js').ExerciseOut, run: import('../../core/moment.js').RunDetail }} props */
export function ExerciseCard({ exercise, run }) {
  const { roomMs, send } = useDesk();
  const phase = useTicking(() => phaseAt(run, roomMs()));
  const parts = useConsole((state) => state.parts);
  const seats = useConsole((state) => state.seats);
  return html`<section class="sheet now run-card" data-phase=${phase} aria-labelledby="run-title">
    <div class="run-head">
      <div><h2 id="run-title"><${ExerciseTitle} exercise=${exercise} called=${run.title} roomMs=${roomMs} seats=${seats} /></h2><${PhaseLine} run=${run} phase=${phase} /></div>
      <${Actions} run=${run} phase=${phase} />
    </div>
    <${Exercise} exercise=${exercise} page="Console" send=${send} roomMs=${roomMs} detail=${run} parts=${parts} seats=${seats} />
  </section>`;
}
