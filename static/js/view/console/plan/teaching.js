/** How the parts of the teaching reach the plan, and what the plan says to do next. */
import { localDay } from '../../../core/days.js';
import { isClosed } from '../../../core/moment.js';
import { nextOf } from '../../../core/plan.js';
import { useConsole } from '../desk.js';

/**
 * A part of the teaching.
 * @template Part
 * @param {(teaching: import('../../../core/plan.js').Teaching) => Part} select
 * @returns {Part}
 */
export const useTeaching = (select) => useConsole((state) => select(state.teaching));

/** The first step that is not done. */
export const useNextStep = () => useTeaching(({ plan }) => (plan === null ? undefined : nextOf(plan.steps)));

/** The number of the meeting that a new day asks for; 0 while the last one is of today, or nothing was sent in it. */
export function useMeetingDue() {
  const meetings = useConsole((state) => state.room?.meetings);
  const last = meetings?.at(-1);
  return meetings === undefined || last === undefined || last.runs === 0 || last.day === localDay(new Date()) ? 0 : meetings.length + 1;
}

/** The advice on the run at hand, unless it has been put away or is of an earlier evening. */
export function useAdvice() {
  const push = useConsole((state) => state.run?.push ?? 0);
  const isOver = useConsole((state) => isClosed(state.run?.phase));
  const advice = useTeaching((teaching) => teaching.advice);
  const putAway = useTeaching((teaching) => teaching.advicePutAway);
  const isOfTonight = useMeetingDue() === 0;
  const isShown = isOver && isOfTonight && advice !== null && advice.push === push && advice.choices.length > 0 && putAway !== push;
  return isShown ? advice : null;
}
