import { hypot, median } from "@tonefall/tone-core";
import type { Agreement } from "./leaveOutStrays.ts";

/** From the median of absolute deviations to the standard deviation of a normal distribution. */
const DEVIATION_OF_MEDIAN = 1.4826;

/**
 * How far an item lies from a curve.
 *
 * @param deviations - of its tones, stops; one or more
 * @param common - the deviation that the curve itself stands for
 */
export function agreementAbout(deviations: readonly number[], common: number): Agreement {
  const centre = median(deviations);
  const offset = centre - common;
  const spread = DEVIATION_OF_MEDIAN * median(deviations.map((value) => Math.abs(value - centre)));
  return { residual: hypot(offset, spread), offset, spread };
}
