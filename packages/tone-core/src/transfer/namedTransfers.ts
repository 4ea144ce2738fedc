import { power } from "../exact/exactMath.ts";
import { expectPositive, expectUnit } from "../expectNumber.ts";
import type { TransferFunction } from "./transferFunction.ts";

/** The curve of sRGB. [SRGB] */
export const SRGB: TransferFunction = transfer(
  "sRGB",
  (encoded) => (encoded <= 0.04045 ? encoded / 12.92 : power((encoded + 0.055) / 1.055, 2.4)),
  (linear) => (linear <= 0.0031308 ? linear * 12.92 : 1.055 * power(linear, 1 / 2.4) - 0.055),
);

/** The curve of Display P3, which is that of sRGB. [DISPLAY-P3] */
export const DISPLAY_P3: TransferFunction = { ...SRGB, name: "Display P3" };

/** The curve of Adobe RGB (1998): a power of 563/256. [ADOBE-RGB] */
export const ADOBE_RGB: TransferFunction = { ...gammaTransfer(563 / 256), name: "Adobe RGB" };

/** The curve of ProPhoto (ROMM) RGB: a power of 1.8, linear below 1/512. [ROMM] */
export const PROPHOTO: TransferFunction = transfer(
  "ProPhoto",
  (encoded) => (encoded < 16 / 512 ? encoded / 16 : power(encoded, 1.8)),
  (linear) => (linear < 1 / 512 ? linear * 16 : power(linear, 1 / 1.8)),
);

/** Codes in proportion to light. */
export const LINEAR: TransferFunction = transfer(
  "linear",
  (encoded) => encoded,
  (linear) => linear,
);

/**
 * The camera curve of television. Stills do not use it: middle grey lies at code 104 with it and not at 118. It is here
 * to recognise that mistake. [BT709]
 */
export const REC709_CAMERA: TransferFunction = transfer(
  "Rec. 709 camera",
  // The printed constants leave a gap where the two parts join; the curve is constant across it.
  (encoded) =>
    encoded < 4.5 * 0.018
      ? encoded / 4.5
      : Math.max(0.018, power((encoded + 0.099) / 1.099, 1 / 0.45)),
  (linear) => (linear < 0.018 ? linear * 4.5 : 1.099 * power(linear, 0.45) - 0.099),
);

/**
 * A plain power curve, as grey profiles use: `linear = encoded ^ gamma`.
 *
 * @param gamma - exponent, > 0; 1.8 and 2.2 are common
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a gamma that is not above zero, or that no double holds the inverse of
 *
 * @example
 * ```ts
 * gammaTransfer(2).linearise(0.5); // => 0.25
 * ```
 */
export function gammaTransfer(gamma: number): TransferFunction {
  // One over it as well: it is the exponent of the way back.
  expectPositive("one over gamma", 1 / expectPositive("gamma", gamma));
  return transfer(
    `gamma ${Number(gamma.toFixed(4))}`,
    (encoded) => power(encoded, gamma),
    (linear) => power(linear, 1 / gamma),
  );
}

function transfer(
  name: string,
  linearise: (encoded: number) => number,
  encode: (linear: number) => number,
): TransferFunction {
  return {
    name,
    linearise: (encoded) => linearise(expectUnit("encoded value", encoded)),
    encode: (linear) => encode(expectUnit("linear value", linear)),
  };
}
