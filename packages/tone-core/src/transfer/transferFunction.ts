import { expectUnit, expectWhole } from "../expectNumber.ts";

/** How a picture's code values stand for light. Both functions work on [0, 1] and rise. */
export interface TransferFunction {
  /** For people: `sRGB`, `gamma 2.2`. */
  readonly name: string;
  /**
   * Linear light in [0, 1] of an encoded value in [0, 1].
   * @throws {@link ToneError} `TONE_OUT_OF_RANGE` outside [0, 1]
   */
  readonly linearise: (encoded: number) => number;
  /**
   * Encoded value in [0, 1] of linear light in [0, 1]; the inverse of `linearise`.
   * @throws {@link ToneError} `TONE_OUT_OF_RANGE` outside [0, 1]
   */
  readonly encode: (linear: number) => number;
}

/**
 * Linear light of every code value, to look up instead of computing.
 *
 * @param codes - how many code values there are, 2 or more: 256 for 8 bits, 65536 for 16
 * @returns `codes` values in [0, 1]; code 0 is first
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a count that is not a whole number from 2 to 65536, or a transfer
 *   function that leaves [0, 1]
 *
 * @example
 * ```ts
 * transferTable(LINEAR, 256)[51]; // => 0.2
 * ```
 */
export function transferTable(transfer: TransferFunction, codes: number): Float64Array {
  expectWhole("the count of codes", codes, 2, 65536);
  return Float64Array.from({ length: codes }, (_, code) =>
    expectUnit("linear light of a code", transfer.linearise(code / (codes - 1))),
  );
}
