/** Tones on their way to the room, numbered, and kept on this device until the room holds them. */
import { useEffect, useMemo, useRef, useState } from '../../../vendor/preact.js';
import { BATCH_EVERY_MS, batchAt, NOTHING, withKept, withTone } from '../../core/keying.js';
import { onDevice } from '../../shell/storage.js';
import { useLearner } from '../../view/learner/context.js';

/** @import { AtKeyOut } from '../../wire.js' */
/** @import { Send } from '../../core/messages.js' */
/** @import { Waiting } from '../../core/keying.js' */

const END_AGAIN_MS = 2000;
/** Where tones that the room does not hold yet lie on this device: a reload or an empty battery loses none. */
const SHELF = 'keyed';

/**
 * Brings tones to the room, again and again until it holds them.
 * @param {{ at: AtKeyOut, run: number, send: Send, roomMs: () => number }} props
 */
export function usePost({ at, run, send, roomMs }) {
  const { turn, start_room_ms: startRoomMs, kept } = at;
  const place = `${useLearner((state) => state.code)}.${run}.${turn}`;
  const box = useRef({ place: '', waiting: NOTHING });
  if (box.current.place !== place) box.current = { place, waiting: lying(place, kept) };
  const before = useMemo(() => box.current.waiting.first + box.current.waiting.tones.length, [place]);
  const put = (/** @type {Waiting} */ waiting) => {
    if (waiting.tones !== box.current.waiting.tones) onDevice.write(SHELF, { place, waiting });
    box.current.waiting = waiting;
  };
  put(withKept(box.current.waiting, kept));
  const [isEnding, setEnding] = useState(false);
  useEffect(() => {
    const timer = setInterval(() => {
      const out = batchAt(box.current.waiting, performance.now());
      if (out.batch === null || send('key_edges', { turn, ...out.batch })) put(out.waiting);
    }, BATCH_EVERY_MS);
    return () => clearInterval(timer);
  }, [place]);
  // The turn ends when the room holds all of it, however long the line is broken.
  const isHeld = isEnding && box.current.waiting.tones.length === 0;
  useEffect(() => {
    if (!isHeld) return undefined;
    const end = () => send('sent_all', { turn });
    end();
    const timer = setInterval(end, END_AGAIN_MS);
    return () => clearInterval(timer);
  }, [isHeld]);
  return {
    before,
    isEnding,
    end: () => setEnding(true),
    /** @param {number} onMs @param {number} offMs  page time @returns {boolean} whether it is on its way: before the start and in a pause it is practice */
    take(onMs, offMs) {
      const toTurn = roomMs() - performance.now() - startRoomMs;
      if (at.paused || !(onMs + toTurn >= 0)) return false;
      const next = withTone(box.current.waiting, [onMs + toTurn, offMs + toTurn]);
      const isTone = next !== box.current.waiting;
      put(next);
      return isTone;
    },
  };
}

/** What lies on this device of a turn of which the room holds so many tones; all of it goes out again. @param {string} place @param {number} kept @returns {Waiting} */
function lying(place, kept) {
  const found = onDevice.read(SHELF);
  const waiting = found?.place === place ? { .../** @type {Waiting} */ (found.waiting), sent: 0 } : { ...NOTHING, first: kept };
  return withKept(waiting, kept);
}
