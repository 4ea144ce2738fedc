import { ToneError } from "../errors.ts";
import { expectObject } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";
import type { StopRange } from "../placement/parsePlacement.ts";

/**
 * Exposure error in stops: how far a fall is outside its placement.
 *
 * @param fall - where the tone landed, stops from middle grey
 * @param placement - where it was meant to, `from` not above `to`
 * @returns 0 inside the range; positive is over-exposed, negative under-exposed
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities, or a placement whose ends are the wrong way round
 *
 * @example
 * ```ts
 * exposureError(0.5, { from: -3, to: -2 }); // => 2.5
 * exposureError(1.6, { from: 1.5, to: 2.3 }); // => 0
 * ```
 */
export function exposureError(fall: number, placement: StopRange): number {
  const at = expectFinite("fall", fall);
  expectObject("the placement", placement);
  const from = expectFinite("placement", placement.from);
  const to = expectFinite("placement", placement.to);
  if (from > to) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected a placement from its lower end to its upper but received ${from} to ${to}`,
    );
  }
  if (at > to) return expectFinite("exposure error", at - to);
  return at < from ? expectFinite("exposure error", at - from) : 0;
}
