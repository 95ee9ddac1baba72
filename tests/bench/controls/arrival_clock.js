/**
 * A control of the synchrony bench: a clock as if messages took no time, so that each browser plays on arrival.
 * The bench serves it in the place of static/js/core/clock.js.
 */
import * as real from './clock.js?real';

export * from './clock.js?real';

export function exchange(clock, taken) {
  return { ...real.exchange(clock, taken), arrival: taken.sent_room_ms - taken.received_page_ms };
}

export const doubt = (clock) => clock;
export const toPage = (clock, roomMs) => roomMs - clock.arrival;
export const toRoom = (clock, pageMs) => pageMs + clock.arrival;
export const nextExchangeInMs = () => 300;
