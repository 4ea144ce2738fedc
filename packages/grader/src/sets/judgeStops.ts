import { type Bound, hypot, RENDERED_MEASURING, type Verdict, verdict } from "@tonefall/tone-core";
import { judge } from "../judge/grade/judge.ts";
import { boundedDifference } from "../judge/metering/boundedStops.ts";
import type { CheckStops } from "../model/checkResult.ts";
import type { Fall, FrameResult } from "../model/result.ts";
import { boundedStopsText, placementText, stopsText } from "../model/words.ts";
import type { OpenRange } from "./ask.ts";
import type { Finding } from "./finding.ts";

/** Measured stops and their uncertainty. */
export interface KnownStops {
  readonly stops: number;
  readonly bound: Bound | null;
  /** One standard deviation. */
  readonly uncertainty: number;
  /** Whether they are the median's, because the mean is a bound that decides nothing. */
  readonly byMedian?: boolean;
}

/** A verdict needs a chance of 0.8: that of a normal deviate below this many standard deviations. */
const SURE_DEVIATIONS = 0.8416;

/**
 * Whether a region's tone is where it is claimed to be.
 *
 * In a closed range a censored mean gives way to the median, as it does in grading; an open one is a claim on the mean.
 *
 * @returns the verdict, and the figure that decided it
 */
export function judgeFall(
  row: FrameResult & { readonly fall: Fall },
  range: OpenRange,
  tolerance: number,
): { readonly verdict: Verdict; readonly known: KnownStops } {
  const { fall, clipped, crushed } = row;
  const known = { stops: fall.stops, bound: fall.bound, uncertainty: rowUncertainty(row) };
  const { from, to } = range;
  if (!Number.isFinite(from) || !Number.isFinite(to)) {
    return { verdict: judgeStops(known, range, tolerance), known };
  }
  const censored = fall.bound === "at most" ? crushed : clipped;
  const uncertainty = { total: known.uncertainty, parts: {} };
  const placement = { from, to, text: "" };
  const { verdict, error } = judge(fall, placement, tolerance, uncertainty, censored?.share ?? 0);
  if (error.decidedBy === "mean") return { verdict, known };
  return { verdict, known: { ...known, stops: fall.median, bound: null, byMedian: true } };
}

/**
 * Whether stops are in a range, by the same chance as other verdicts.
 *
 * A bound that is open on the same side as the range decides the claim if it is inside the range; outside, it decides nothing.
 */
export function judgeStops(known: KnownStops, range: OpenRange, tolerance: number): Verdict {
  const { stops, bound, uncertainty } = known;
  const nearest = Math.min(Math.max(stops, range.from), range.to);
  const ask = { error: stops - nearest, uncertainty, tolerance };
  const open = bound === "at least" ? range.to === Infinity : range.from === -Infinity;
  if (bound === null || !open) return verdict({ ...ask, bound }).verdict;
  return verdict(ask).verdict === "within" ? "within" : "undecided";
}

/** Whether one tone is lighter than another. */
export function judgeRise({ stops, bound, uncertainty }: KnownStops): Verdict {
  const sure = SURE_DEVIATIONS * uncertainty;
  if (stops > sure) return bound === "at most" ? "undecided" : "within";
  return stops < -sure && bound !== "at least" ? "under" : "undecided";
}

/**
 * How much lighter the first of two tones is; null where clipping or black leaves that open.
 *
 * Uncertainty that two frames of one camera share cancels out: the camera's middle grey, and how even the light was.
 */
export function toneDifference(a: FrameResult, b: FrameResult): KnownStops | null {
  if (!a.fall || !b.fall) return null;
  const difference = boundedDifference(a.fall, b.fall);
  return difference && { ...difference, uncertainty: differenceUncertainty(a, b) };
}

function differenceUncertainty(a: FrameResult, b: FrameResult): number {
  const model = (row: FrameResult): string | null | undefined => row.exposure?.model.value;
  const shared = model(a) && model(a) === model(b) ? ["middleGrey", "evenness"] : [];
  const own = (row: FrameResult): number =>
    hypot(
      ...Object.entries(row.fall?.uncertaintyParts ?? {})
        .filter(([part]) => !shared.includes(part))
        .map(([, stops]) => stops),
    );
  return hypot(own(a), own(b)) || RENDERED_MEASURING;
}

/** One standard deviation of a row's fall. */
export function rowUncertainty({ fall }: Pick<FrameResult, "fall">): number {
  return fall?.uncertainty ?? RENDERED_MEASURING;
}

/** The outcome and its code for a verdict on stops. */
export function outcomeOf(
  verdict: Verdict,
  bound: Bound | null,
): Pick<Finding, "outcome" | "code"> {
  switch (verdict) {
    case "within":
      return { outcome: "kept", code: "holds" };
    case "over":
      return { outcome: "missed", code: "lighter" };
    case "under":
      return { outcome: "missed", code: "darker" };
    case "undecided":
      return { outcome: "undecided", code: bound === null ? "near-limit" : "censored" };
  }
}

/** A range with its open ends in words: `at least +1.4`. */
export function rangeText({ from, to }: OpenRange): string {
  if (to === Infinity) return `at least ${stopsText(from)}`;
  return from === -Infinity ? `at most ${stopsText(to)}` : placementText({ from, to });
}

/** The numbers of a claim as results carry them. */
export function checkStops(
  basis: CheckStops["basis"],
  range: OpenRange,
  { stops, bound, uncertainty }: KnownStops,
  tolerance: number,
): CheckStops {
  const end = (value: number): number | null => (Number.isFinite(value) ? value : null);
  return {
    basis,
    from: end(range.from),
    to: end(range.to),
    measured: stops,
    bound,
    uncertainty,
    tolerance,
  };
}

/** Measured stops in words: `+0.33 ± 0.05`, or `-0.80 ± 0.05 (median)`. */
export function knownText(known: KnownStops): string {
  return `${boundedStopsText(known)} ± ${known.uncertainty.toFixed(2)}${known.byMedian ? " (median)" : ""}`;
}
