/** Chance and clocks for tests: everything follows from a seed, which a failing test prints. */

/** A small generator of evenly spread numbers in [0, 1) (mulberry32). @param {number} seed */
export function chance(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/**
 * A claim that must hold for many seeds.
 * @param {number} count
 * @param {(random: () => number, seed: number) => void} claim
 */
export function forSeeds(count, claim) {
  for (let seed = 1; seed <= count; seed += 1) {
    try {
      claim(chance(seed), seed);
    } catch (fault) {
      throw new Error(`seed ${seed}: ${/** @type {Error} */ (fault).message}`, { cause: fault });
    }
  }
}

/** @param {readonly number[]} values @param {number} part */
export function quantile(values, part) {
  return [...values].sort((a, b) => a - b)[Math.floor(part * (values.length - 1))];
}
