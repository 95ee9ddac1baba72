/** The middle of the console while a run that is copied is at hand, and after it. */
import { html } from '../../../vendor/preact.js';
import { ClassTable } from './class_table.js';
import { AdviceCard } from './plan/advice_card.js';
import { RunCard } from './run_card.js';

/** @param {{ run: import('../../core/moment.js').RunDetail }} props */
export const RunPage = ({ run }) => html`<${RunCard} run=${run} /><${AdviceCard} /><${ClassTable} />`;
