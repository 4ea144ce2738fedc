/**
 * Kendall's score of values in their order: pairs that rise less pairs that fall.
 *
 * @param values - finite, in the order in which they came
 * @returns from -n (n - 1) / 2 to n (n - 1) / 2
 */
export function kendallScore(values: readonly number[]): number {
  return values.reduce(
    (score, value, i) =>
      score + values.slice(i + 1).reduce((sum, later) => sum + Math.sign(later - value), 0),
    0,
  );
}

/**
 * Variance of {@link kendallScore} where the order means nothing, corrected for values that are equal (Mann 1945, Kendall
 * 1975).
 */
export function kendallVariance(values: readonly number[]): number {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  const term = (n: number): number => n * (n - 1) * (2 * n + 5);
  const tied = [...counts.values()].reduce((sum, count) => sum + term(count), 0);
  return (term(values.length) - tied) / 18;
}

/** Beyond this many values a normal law stands for the exact one. */
const MOST_EXACT = 60;

/** Standard normal quantile of 1 - {@link CHANCE}. */
const NORMAL_QUANTILE = 1.6448536269514722;

/** Chance of being called a fall, or a rise, where the order means nothing. */
const CHANCE = 0.05;

/**
 * The least {@link kendallScore} that so many values reach by accident with a chance of at most 5 %, all orders being
 * equally likely; null where no order is that rare, which is so for fewer than four.
 *
 * Exact up to 60 values, by counting orders; normal beyond, with continuity corrected.
 *
 * @param count - values without equals; equal ones make the score rarer still
 */
export function rareScore(count: number): number | null {
  const pairs = (count * (count - 1)) / 2;
  if (count > MOST_EXACT) {
    const deviation = Math.sqrt((count * (count - 1) * (2 * count + 5)) / 18);
    const least = Math.ceil(NORMAL_QUANTILE * deviation + 1);
    return least + ((least + pairs) % 2);
  }
  const shares = swapShares(count);
  let [chance, rarest] = [0, null as number | null];
  for (const [swaps, share] of shares.entries()) {
    chance += share;
    if (chance > CHANCE) return rarest;
    rarest = pairs - 2 * swaps;
  }
  return rarest;
}

/** Share of the orders of so many values that have 0, 1, 2 ... pairs out of order. */
function swapShares(count: number): number[] {
  let shares = [1];
  for (let n = 2; n <= count; n++) {
    const longer = new Array<number>(shares.length + n - 1).fill(0);
    for (const [swaps, share] of shares.entries()) {
      for (let more = 0; more < n; more++) {
        longer[swaps + more] = (longer[swaps + more] as number) + share / n;
      }
    }
    shares = longer;
  }
  return shares;
}
