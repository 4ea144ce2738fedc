import type { CauseCode } from "../../model/cause.ts";
import { SMALLEST_CHANGE_STOPS } from "./limits.ts";

/**
 * What a compensation did to a frame whose meter was followed: nothing, the opposite, too little or too much.
 *
 * @param set - compensation that took effect, stops of light
 * @param miss - of the light, signed
 */
export function compensationCause(set: number, miss: number): CauseCode {
  if (Math.abs(set) < SMALLEST_CHANGE_STOPS) {
    return miss > 0 ? "followed-meter-on-dark" : "followed-meter-on-light";
  }
  // It pulled against the miss: the right way, and not far enough.
  if (Math.sign(set) !== Math.sign(miss)) return "compensated-too-little";
  const wanted = set - miss;
  const opposite = Math.sign(wanted) !== Math.sign(set) && Math.abs(wanted) > SMALLEST_CHANGE_STOPS;
  return opposite ? "compensated-wrong-way" : "compensated-too-far";
}
