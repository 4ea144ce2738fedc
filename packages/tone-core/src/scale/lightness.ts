import { cubeRoot, power } from "../exact/exactMath.ts";
import { expectNotNegative } from "../expectNumber.ts";

/** Below this luminance lightness is a straight line: (6/29)^3. [CIE15] */
const LINE_END = power(6 / 29, 3);
/** Slope of that line: (29/3)^3. [CIE15] */
const LINE_SLOPE = power(29 / 3, 3);

/**
 * CIE lightness L* of a relative luminance.
 *
 * @param luminance - relative luminance, 0 or more, 1 at white
 * @returns 0 at black, 100 at white, more above it
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a luminance below zero
 * @see [CIE15]
 *
 * @example
 * ```ts
 * lightness(0.18).toFixed(2); // => "49.50"
 * ```
 */
export function lightness(luminance: number): number {
  const y = expectNotNegative("luminance", luminance);
  return y <= LINE_END ? LINE_SLOPE * y : 116 * cubeRoot(y) - 16;
}

/**
 * Relative luminance of a CIE lightness; the inverse of the function `lightness`.
 *
 * @param lightness - L*, 0 or more
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a lightness below zero, or too high for a luminance in doubles
 *
 * @example
 * ```ts
 * luminanceFromLightness(100); // => 1
 * ```
 */
export function luminanceFromLightness(lightness: number): number {
  const l = expectNotNegative("lightness", lightness);
  return expectNotNegative("luminance", l <= 8 ? l / LINE_SLOPE : power((l + 16) / 116, 3));
}
