/** The run is closed; what was sent is shown when the instructor says so. */
import { html } from '../../../vendor/preact.js';
import { Sheet } from '../parts/sheet.js';
import { useLearner } from './context.js';

export function Closed() {
  const marks = useLearner((state) => state.marks);
  return html`
    <main class="desk">
      <div class="desk-head" role="status"><div>
        <h1>This run is over</h1>
        <p class="soft">Your instructor will show the copies beside what was sent.</p>
      </div></div>
      ${marks.length > 0 && html`<${Sheet} marks=${marks} />`}
    </main>`;
}
