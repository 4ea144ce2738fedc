import { MIDDLE_GREY } from "../constants.ts";
import { exp2, log2 } from "../exact/exactMath.ts";
import { expectFinite, expectPositive } from "../expectNumber.ts";

/**
 * Stops from a reference luminance to a luminance; positive is brighter.
 *
 * @param luminance - linear, > 0, in any unit that the reference shares
 * @param reference - linear, > 0
 * @defaultValue reference is {@link MIDDLE_GREY}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` unless both are above zero, since black is not a number of stops away, or
 *   where their ratio is too large or too small for a double
 *
 * @example
 * ```ts
 * stopsBetween(0.36); // => 1
 * stopsBetween(0.25, 1); // => -2
 * ```
 */
export function stopsBetween(luminance: number, reference: number = MIDDLE_GREY): number {
  const ratio =
    expectPositive("luminance", luminance) / expectPositive("reference luminance", reference);
  return log2(expectPositive("luminance over its reference", ratio));
}

/**
 * The luminance that lies a number of stops from a reference; the inverse of {@link stopsBetween}.
 *
 * @param stops - any finite number
 * @param reference - linear luminance, > 0
 * @defaultValue reference is {@link MIDDLE_GREY}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for stops that are not finite, a reference that is not above zero, or
 *   a luminance too high or too low for a double
 *
 * @example
 * ```ts
 * luminanceAtStops(1); // => 0.36
 * luminanceAtStops(-2, 1); // => 0.25
 * ```
 */
export function luminanceAtStops(stops: number, reference: number = MIDDLE_GREY): number {
  return expectPositive(
    "luminance at these stops",
    expectPositive("reference luminance", reference) * exp2(expectFinite("stops", stops)),
  );
}
