import { ToneError } from "../errors.ts";
import { expectList } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";

/**
 * The value at or below which a share of the values is: R's type 2, the definition of quantiles used throughout.
 *
 * It is the smallest value with at least that share at or below it; where one value ends at exactly that share, the mean
 * of it and the next. So a quantile from the other end is the same one, and the median of an even count is the mean of
 * the middle pair.
 *
 * The library for statistics has type 7, which gives values between those there are, and none of it by weight or of counts.
 *
 * @param values - finite, in any order, one or more
 * @param share - in [0, 1]; 0 gives the least value, 1 the greatest
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` without a value, `TONE_OUT_OF_RANGE` for a value that is not finite or a
 *   share outside [0, 1]
 * @see [QUANTILES]
 *
 * @example
 * ```ts
 * quantile([4, 1, 3, 2], 0.25); // => 1.5
 * quantile([4, 1, 3, 2], 0.3); // => 2
 * ```
 */
export function quantile(values: readonly number[], share: number): number {
  expectList("the values", values);
  const [low, high] = quantileRanks(values.length, share);
  const sorted = Float64Array.from(values, (value) => expectFinite("value", value)).sort();
  return middle(sorted[low] as number, sorted[high] as number);
}

/**
 * The middle of values, or the mean of the two about it: {@link quantile} of a half.
 *
 * @param values - finite, in any order, one or more
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` without a value, `TONE_OUT_OF_RANGE` for a value that is not finite
 *
 * @example
 * ```ts
 * median([4, 1, 3, 2]); // => 2.5
 * ```
 */
export function median(values: readonly number[]): number {
  return quantile(values, 0.5);
}

/**
 * {@link median} of values that count by their weights.
 *
 * @param pairs - values, finite, and their weights, above zero; one or more
 */
export function weightedMedian(
  pairs: readonly (readonly [value: number, weight: number])[],
): number {
  const sorted = [...pairs].sort(([a], [b]) => a - b);
  const half = sorted.reduce((sum, [, weight]) => sum + weight, 0) / 2;
  let seen = 0;
  for (const [i, [value, weight]] of sorted.entries()) {
    seen += weight;
    if (Math.abs(seen - half) <= ROUNDING * half)
      return middle(value, (sorted[i + 1] ?? [value])[0]);
    if (seen > half) return value;
  }
  throw new ToneError("TONE_EMPTY_INPUT", "Expected at least one value for a weighted median");
}

/** The largest difference that rounding alone can cause, relative to the number. */
const ROUNDING = 4 * Number.EPSILON;

/**
 * Ranks, from 0, of the two values whose mean is the quantile; usually both are the same.
 *
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` of none, `TONE_OUT_OF_RANGE` for a share outside [0, 1]
 */
export function quantileRanks(count: number, share: number): readonly [low: number, high: number] {
  if (!(share >= 0 && share <= 1)) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected a number from 0 to 1 for share but received ${share}`,
    );
  }
  if (!(count > 0)) {
    throw new ToneError("TONE_EMPTY_INPUT", "Expected at least one value for a quantile");
  }
  const place = share * count;
  const whole = Math.round(place);
  const splits = Math.abs(place - whole) <= ROUNDING * Math.max(1, place);
  const [low, high] = splits ? [whole - 1, whole] : [Math.ceil(place) - 1, Math.ceil(place) - 1];
  return [Math.max(0, low), Math.min(count - 1, high)];
}

/** Mean of two values, each halved first, since their sum may pass the largest double. */
function middle(low: number, high: number): number {
  return low === high ? low : low / 2 + high / 2;
}
