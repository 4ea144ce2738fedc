import type { CauseFacts, CauseRow } from "../cause/causeFacts.ts";
import { frameSteps } from "../cause/frameStep.ts";
import { likelihoods, type Witness } from "../cause/lightMiss.ts";
import { LIGHT_CHANGE_STOPS, SMALLEST_CHANGE_STOPS } from "../cause/limits.ts";
import {
  curvesOf,
  isLight,
  lightBehind,
  type RenderedCurve,
  shownStops,
} from "../cause/renderedCurve.ts";

/**
 * Pictures that are straight in stops, and their share of all: flat styles, plain conversions, and beyond the other curves on
 * either side. Our judgement.
 */
const STRAIGHT: readonly { readonly contrast: number; readonly share: number }[] = [
  { contrast: 0.8, share: 0.1 },
  { contrast: 1, share: 0.4 },
  { contrast: 2.2, share: 0.05 },
];
const BENT_SHARE: number = 1 - STRAIGHT.reduce((sum, { share }) => sum + share, 0);

/** How well two frames of one light and subject follow their settings, one standard deviation, stops. */
const PAIR_UNCERTAINTY = 0.12;

/**
 * The curves that a missed picture may have come through, weighed by what earlier frames of its subject show: a known change
 * of the settings between two tones tells how steep the rendering is between them. Weights sum to more than 0.
 *
 * @param preceding - rows of the same run before it, oldest first
 */
export function seenCurves(
  facts: CauseFacts,
  preceding: readonly CauseRow[],
): readonly RenderedCurve[] {
  const { row, shown } = facts;
  if (isLight(row)) return [straight(1, 1)];
  const curves = usualCurves(row);
  const lightsOf = (tone: number): Float64Array =>
    Float64Array.from(curves, (curve) => lightBehind(curve, shownStops(row, tone)));
  const agreement = likelihoods(lightsOf(shown), earlierTones(facts, preceding), lightsOf);
  const seen = curves.map((curve, i) => ({
    ...curve,
    weight: curve.weight * (agreement[i] as number),
  }));
  return seen.some(({ weight }) => weight > 0) ? seen : curves;
}

/** What is known before another frame is seen. Where middle grey lies hardly matters to the light between two tones. */
function usualCurves(row: CauseRow): readonly RenderedCurve[] {
  const curves = curvesOf(row).filter(({ middleGrey }) => middleGrey === 0);
  const total = curves.reduce((sum, { weight }) => sum + weight, 0);
  return [
    ...STRAIGHT.map(({ contrast, share }) => straight(contrast, share)),
    ...curves.map((curve) => ({ ...curve, weight: (BENT_SHARE * curve.weight) / total })),
  ];
}

function straight(contrast: number, weight: number): RenderedCurve {
  return { contrast, white: Number.POSITIVE_INFINITY, toe: 0, middleGrey: 0, weight };
}

/**
 * Tones of the subject in earlier frames of the same light, and by how much the settings moved that light: what tells how
 * steep the rendering is.
 */
export function earlierTones(
  facts: CauseFacts,
  preceding: readonly CauseRow[],
): readonly Witness[] {
  const { fall } = facts.row;
  if (!fall || fall.bound !== null) return [];
  return frameSteps(facts, preceding)
    .filter(
      ({ given, light }) =>
        Math.abs(given) >= SMALLEST_CHANGE_STOPS && Math.abs(light) < LIGHT_CHANGE_STOPS,
    )
    .map((step) => ({
      shown: fall.stops - step.fall,
      light: -step.given,
      fromSubject: true,
      uncertainty: PAIR_UNCERTAINTY,
    }));
}
