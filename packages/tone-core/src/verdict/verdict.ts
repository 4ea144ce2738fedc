import { ToneError } from "../errors.ts";
import { errorFunction } from "../exact/exactMath.ts";
import { expectObject } from "../expectGiven.ts";
import { expectFinite, expectNotNegative, expectPositive } from "../expectNumber.ts";

/** What can be said of an exposure against its tolerance. */
export type Verdict = "within" | "over" | "under" | "undecided";

/** Whether the true value is at least or at most the censored one. */
export type Bound = "at least" | "at most";

/** What a verdict is given on; all in stops. */
export interface VerdictInput {
  /** Exposure error; positive is over-exposed. */
  readonly error: number;
  /** Standard uncertainty of the error, 0 or more. */
  readonly uncertainty: number;
  /** The largest error that still counts as within, > 0. */
  readonly tolerance: number;
  /**
   * Set when the error is only a bound: `at least` when the true error is this or more (clipped), `at most` when it is
   * this or less (buried in black).
   * @defaultValue null
   */
  readonly bound?: Bound | null;
}

/** A verdict and the probability it rests on. */
export interface VerdictResult {
  /** Within the tolerance or on a side of it; `undecided` where none of these is probable enough. */
  readonly verdict: Verdict;
  /** Probability in [0, 1] that the true error is within the tolerance; null when only a bound of it is known. */
  readonly probabilityWithin: number | null;
}

/** Probability from which a statement counts as true. Our judgement. */
const SURE = 0.8;
/** Probability up to which a statement counts as false. Our judgement. */
const UNLIKELY = 0.2;

/**
 * Verdict on an exposure error that is known with some uncertainty.
 *
 * With a normal distribution about the error, p is the probability that the true error is within the tolerance:
 * `within` from 0.8, `over` or `under` by the sign of the error up to 0.2, `undecided` between. When the uncertainty is
 * so wide that the other side of the tolerance keeps more than 0.2, the sign says nothing, and it is `undecided` too. A
 * bound supports only the side it points to.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN, infinities, a negative uncertainty, or a tolerance that is not
 *   above zero; `TONE_UNKNOWN_NAME` for another bound
 *
 * @example
 * ```ts
 * verdict({ error: -2.3, uncertainty: 0.05, tolerance: 1 / 3 }).verdict; // => "under"
 * verdict({ error: 0.3, uncertainty: 0.4, tolerance: 1 / 3 }).verdict; // => "undecided"
 * ```
 */
export function verdict(input: VerdictInput): VerdictResult {
  const { error, uncertainty, tolerance, bound = null } = expectObject("the verdict", input);
  expectFinite("exposure error", error);
  expectNotNegative("uncertainty", uncertainty);
  expectPositive("tolerance", tolerance);
  if (bound !== null && bound !== "at least" && bound !== "at most") {
    throw new ToneError(
      "TONE_UNKNOWN_NAME",
      `Expected "at least", "at most" or null for the bound but received "${String(bound)}"`,
    );
  }
  const notOver = probabilityBelow(tolerance - error, uncertainty);
  const under = probabilityBelow(-tolerance - error, uncertainty);
  const probabilityWithin = Math.max(0, notOver - under);
  const decided = decide(error, probabilityWithin, error > 0 ? under : 1 - notOver);
  if (bound === null) return { verdict: decided, probabilityWithin };
  const supported = bound === "at least" ? "over" : "under";
  return { verdict: decided === supported ? decided : "undecided", probabilityWithin: null };
}

function decide(error: number, within: number, otherSide: number): Verdict {
  if (within >= SURE) return "within";
  // An error of zero favours neither side: each then keeps a chance of at least 0.4, and up to 0.2 counts as within.
  if (within > UNLIKELY || otherSide > UNLIKELY) return "undecided";
  return error > 0 ? "over" : "under";
}

/** Probability that a normal deviate is below a value. Without spread it is a step, half at the value itself. */
function probabilityBelow(value: number, standardDeviation: number): number {
  if (standardDeviation === 0) return (1 + Math.sign(value)) / 2;
  return (1 + errorFunction(value / standardDeviation / Math.SQRT2)) / 2;
}
