/** A control that has just changed was not what the finger was after. */
import { useEffect, useState } from '../../../vendor/preact.js';
import { SECOND_CLICK_MS } from '../../core/run_orders.js';

/** Whether these words have stood on a button for about a second. @param {string} words */
export function useSteady(words) {
  const [settled, setSettled] = useState(words);
  useEffect(() => {
    const timer = setTimeout(() => setSettled(words), SECOND_CLICK_MS);
    return () => clearTimeout(timer);
  }, [words]);
  return settled === words;
}
