import { exp2 } from "../exact/exactMath.ts";
import { expectObject } from "../expectGiven.ts";
import { expectPositive, expectUnit, expectWhole } from "../expectNumber.ts";
import { stopsBetween } from "../stops/stopsBetween.ts";
import type { TransferFunction } from "../transfer/transferFunction.ts";

/**
 * Size of one code value in stops at a luminance: how finely the picture distinguishes tones there.
 *
 * From the luminance's place to one code above it; at white, to one code below.
 *
 * @param luminance - relative luminance, above 0 and at most 1
 * @param transfer - what the codes mean
 * @param bits - bits a channel, 2 to 16
 * @defaultValue bits is 8
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the curve is black one code below
 *
 * @example
 * ```ts
 * codeQuantumStops(0.18, SRGB).toFixed(3); // => "0.026"
 * ```
 */
export function codeQuantumStops(
  luminance: number,
  transfer: TransferFunction,
  bits: number = 8,
): number {
  expectObject("the transfer function", transfer);
  expectWhole("the bits a channel", bits, 2, 16);
  const oneCode = 1 / (exp2(bits) - 1);
  const encoded = transfer.encode(expectUnit("luminance", expectPositive("luminance", luminance)));
  const lower = Math.min(encoded, 1 - oneCode);
  return stopsBetween(transfer.linearise(lower + oneCode), transfer.linearise(lower));
}
