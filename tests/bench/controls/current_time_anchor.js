/**
 * A control of the synchrony bench: audio time by `currentTime` alone, as if outputs took no time.
 * The bench serves it in the place of static/js/core/anchor.js.
 */
import * as real from './anchor.js?real';

export * from './anchor.js?real';

export function withReading(anchor, { pageMs, currentS }) {
  return real.withReading(anchor, { pageMs, currentS, latencyS: 0 });
}
