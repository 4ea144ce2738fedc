import { exposureError, type Verdict, verdict as verdictOn } from "@tonefall/tone-core";
import type { ExposureError, Fall, Placement } from "../result.ts";
import { MEDIAN_STANDS_SHARE } from "./fallOf.ts";
import type { Uncertainty } from "./uncertaintyOf.ts";

/** An error and what may be said of it. */
export interface Judgement {
  readonly error: ExposureError;
  readonly verdict: Verdict;
  /** Whether the verdict rests on the median because the mean is only a bound. */
  readonly byMedian: boolean;
}

/**
 * Compares a fall with its placement.
 *
 * A censored mean decides alone only where the bound itself does: "at least 0.8 over" is over. Otherwise the median
 * decides, for as long as less than half of the region lies beyond the end of the scale; past that nothing can be said.
 *
 * @param fall - on the claim's basis, stops
 * @param placement - where the tone was meant to land
 * @param tolerance - stops, > 0
 * @param uncertainty - of the fall
 * @param censoredShare - share of the region beyond the end of the scale that `fall.bound` speaks of, in [0, 1]
 */
export function judge(
  fall: Fall,
  placement: Placement,
  tolerance: number,
  uncertainty: Uncertainty,
  censoredShare: number,
): Judgement {
  const stops = exposureError(fall.stops, placement);
  const median = exposureError(fall.median, placement);
  const error: ExposureError = {
    stops,
    median,
    uncertainty: uncertainty.total,
    uncertaintyParts: uncertainty.parts,
    bound: fall.bound,
  };
  const ask = { uncertainty: uncertainty.total, tolerance };
  const byMean = verdictOn({ ...ask, error: stops, bound: fall.bound });
  if (
    fall.bound === null ||
    byMean.verdict !== "undecided" ||
    censoredShare >= MEDIAN_STANDS_SHARE
  ) {
    return { error, verdict: byMean.verdict, byMedian: false };
  }
  return {
    error,
    verdict: verdictOn({ ...ask, error: median, bound: null }).verdict,
    byMedian: true,
  };
}
