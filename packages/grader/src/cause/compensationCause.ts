import type { CauseCode } from "./cause.ts";
import { type ContrastRange, middleContrast } from "./contrast.ts";
import { SMALLEST_CHANGE_STOPS } from "./limits.ts";

/**
 * What a compensation did to a frame whose meter was followed: nothing, the opposite, too little or too much.
 *
 * @param set - compensation that took effect, stops of light
 * @param miss - signed, on the row's basis
 * @param contrast - of the row's basis; its middle stands for the unknown one
 */
export function compensationCause(set: number, miss: number, contrast: ContrastRange): CauseCode {
  if (Math.abs(set) < SMALLEST_CHANGE_STOPS) {
    return miss > 0 ? "followed-meter-on-dark" : "followed-meter-on-light";
  }
  // It pulled against the miss: the right way, and not far enough.
  if (Math.sign(set) !== Math.sign(miss)) return "compensated-too-little";
  const wanted = wantedCompensation(set, miss, contrast);
  const opposite = Math.sign(wanted) !== Math.sign(set) && Math.abs(wanted) > SMALLEST_CHANGE_STOPS;
  return opposite ? "compensated-wrong-way" : "compensated-too-far";
}

/** The compensation that would have landed the tone, stops of light. */
export function wantedCompensation(set: number, miss: number, contrast: ContrastRange): number {
  return set - miss / middleContrast(contrast);
}
