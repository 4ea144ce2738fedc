import { exposureError, type Verdict, verdict as verdictOn } from "@tonefall/tone-core";
import type { ExposureError, Fall, Placement } from "../../model/result.ts";
import { MEDIAN_STANDS_SHARE } from "./fallOf.ts";
import type { Uncertainty } from "./fallUncertainty.ts";

/** An error and what may be said of it. */
export interface Judgement {
  readonly error: ExposureError;
  readonly verdict: Verdict;
  /** Whether bound and median point to different sides, so that the verdict is left open. */
  readonly apart: boolean;
}

/**
 * Compares a fall with its placement.
 *
 * A censored mean decides alone only where the bound itself does: "at least 0.8 over" is over. Otherwise the median
 * decides, for as long as less than half of the region lies beyond the end of the scale; past that nothing can be said.
 * Where the two pull apart, as a median that is too dark and a mean that is at least right, the verdict is left open.
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
  const { bound } = fall;
  const ask = { uncertainty: uncertainty.total, tolerance };
  const judged = (decidedBy: ExposureError["decidedBy"], verdict: Verdict, apart = false) => ({
    error: {
      stops,
      median,
      uncertainty: uncertainty.total,
      uncertaintyParts: uncertainty.parts,
      bound,
      decidedBy,
    },
    verdict,
    apart,
  });
  const byMean = verdictOn({ ...ask, error: stops, bound }).verdict;
  if (bound === null || censoredShare >= MEDIAN_STANDS_SHARE) return judged("mean", byMean);
  const byMedian = verdictOn({ ...ask, error: median, bound: null }).verdict;
  // The side on which the mean cannot lie, unless the bound itself still lies there.
  const excluded = bound === "at least" ? "under" : "over";
  const atBound = verdictOn({ ...ask, error: stops, bound: null }).verdict;
  if (byMedian === excluded && atBound !== excluded) return judged("mean", "undecided", true);
  return byMean === "undecided" ? judged("median", byMedian) : judged("mean", byMean);
}
