/** @typedef {ReturnType<typeof randomFrom>} Random */

/**
 * Seeded random numbers, the same everywhere (mulberry32, a public-domain generator by Tommy Ettinger). Ours, since another
 * generator would damage files otherwise under the seeds that were reported.
 *
 * @param {number} seed - a whole number
 */
export function randomFrom(seed) {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  /**
   * A whole number in `[0, below)`.
   *
   * @param {number} below
   */
  const whole = (below) => Math.floor(next() * below);
  /**
   * @template T
   * @param {readonly T[]} list - not empty
   * @returns {T}
   */
  const of = (list) => list[whole(list.length)];
  return { next, whole, of };
}
