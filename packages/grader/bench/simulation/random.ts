import { cosine, naturalLog } from "@tonefall/tone-core";
/** Random numbers from a seed: the same seed gives the same scenes on every machine. */
export interface Random {
  /** Uniform in [from, to). */
  between(from: number, to: number): number;
  /** One of the list. */
  pick<T>(list: readonly T[]): T;
  /** True with this probability. */
  chance(probability: number): boolean;
  /** Normal about 0. */
  normal(standardDeviation: number): number;
}

/**
 * A generator of 32 bits of state (mulberry32).
 *
 * Ours, though libraries have better ones: figures in the docs and the curve of scene light were measured with this very
 * sequence, and none of them gives it.
 */
export function seededRandom(seed: number): Random {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  return {
    between: (from, to) => from + (to - from) * uniform(),
    pick: (list) => list[Math.floor(uniform() * list.length)] as (typeof list)[number],
    chance: (probability) => uniform() < probability,
    normal: (standardDeviation) =>
      standardDeviation *
      Math.sqrt(-2 * naturalLog(1 - uniform())) *
      cosine(2 * Math.PI * uniform()),
  };
}
