import { ToneError } from "../errors.ts";
import { expectList } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";
import { determinant, sharesOf, type Triple } from "./matrix.ts";

/** Shares of linear red, green and blue in luminance; they add up to 1. */
export type LuminanceRow = readonly [number, number, number];

/** CIE xy chromaticity. */
export type Chromaticity = readonly [number, number];

/** Chromaticities of the red, green and blue primaries. */
export type Primaries = readonly [Chromaticity, Chromaticity, Chromaticity];

/** Chromaticity of daylight D65, the white of screens. [SRGB] */
export const D65_XY: Chromaticity = [0.3127, 0.329];
/** Chromaticity of D50, the white of ProPhoto RGB. [ROMM] */
export const D50_XY: Chromaticity = [0.3457, 0.3585];

/**
 * The luminance row of an RGB space from its primaries and white.
 *
 * @param primaries - xy of red, green and blue
 * @param white - xy of the colour that equal amounts of the three make
 * @returns shares that add up to 1, so a neutral keeps its value
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when a chromaticity is not finite, a y is zero, or the primaries lie on
 *   one line
 *
 * @example
 * ```ts
 * const primaries = [[0.64, 0.33], [0.3, 0.6], [0.15, 0.06]] as const;
 * luminanceRowFromPrimaries(primaries, D65_XY).map((share) => share.toFixed(4)); // => ["0.2126", "0.7152", "0.0722"]
 * ```
 */
export function luminanceRowFromPrimaries(primaries: Primaries, white: Chromaticity): LuminanceRow {
  expectList("the primaries", primaries);
  const columns = primaries.map(atUnitLuminance) as [Triple, Triple, Triple];
  const target = atUnitLuminance(white);
  const whole = determinant(...columns);
  // Written so that what is not a number at all is refused as well.
  if (!(Math.abs(whole) >= 1e-12 && Math.abs(whole) < Infinity)) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected primaries that span a triangle for the colour space but received ${JSON.stringify(primaries)}`,
    );
  }
  const [red, green, blue] = sharesOf(columns, target);
  return [
    expectFinite("share of red", red),
    expectFinite("share of green", green),
    expectFinite("share of blue", blue),
  ];
}

/** The RGB spaces whose primaries are known here. */
export type RgbSpaceName = "srgb" | "adobeRgb" | "displayP3" | "proPhoto" | "rec2020";

/** Primaries of the spaces that pictures come in. [SRGB] [ADOBE-RGB] [DISPLAY-P3] [ROMM] [BT2020] */
export const PRIMARIES: Readonly<Record<RgbSpaceName, Primaries>> = {
  srgb: [
    [0.64, 0.33],
    [0.3, 0.6],
    [0.15, 0.06],
  ],
  adobeRgb: [
    [0.64, 0.33],
    [0.21, 0.71],
    [0.15, 0.06],
  ],
  displayP3: [
    [0.68, 0.32],
    [0.265, 0.69],
    [0.15, 0.06],
  ],
  proPhoto: [
    [0.7347, 0.2653],
    [0.1596, 0.8404],
    [0.0366, 0.0001],
  ],
  rec2020: [
    [0.708, 0.292],
    [0.17, 0.797],
    [0.131, 0.046],
  ],
};

/**
 * Luminance rows under each space's own white: D65, and D50 for ProPhoto.
 *
 * The Y values of a profile's colorants are another thing: those are adapted to D50, which moves pure blue by a quarter
 * of a stop. Neutrals are the same in both.
 */
export const LUMINANCE_ROWS: Readonly<Record<RgbSpaceName, LuminanceRow>> = {
  srgb: luminanceRowFromPrimaries(PRIMARIES.srgb, D65_XY),
  adobeRgb: luminanceRowFromPrimaries(PRIMARIES.adobeRgb, D65_XY),
  displayP3: luminanceRowFromPrimaries(PRIMARIES.displayP3, D65_XY),
  proPhoto: luminanceRowFromPrimaries(PRIMARIES.proPhoto, D50_XY),
  rec2020: luminanceRowFromPrimaries(PRIMARIES.rec2020, D65_XY),
};

/**
 * Relative luminance of a linear RGB colour.
 *
 * @param rgb - linear red, green and blue, 1 at white
 * @param row - shares of the space the colour is in
 * @defaultValue row is that of sRGB
 * @returns luminance, 1 at white
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a component, or a luminance, that is not finite
 *
 * @example
 * ```ts
 * relativeLuminance([0.18, 0.18, 0.18]).toFixed(6); // => "0.180000"
 * ```
 */
export function relativeLuminance(
  rgb: readonly [number, number, number],
  row: LuminanceRow = LUMINANCE_ROWS.srgb,
): number {
  expectList("the colour", rgb);
  expectList("the luminance row", row);
  const [red, green, blue] = rgb;
  return expectFinite(
    "luminance",
    row[0] * expectFinite("linear red", red) +
      row[1] * expectFinite("linear green", green) +
      row[2] * expectFinite("linear blue", blue),
  );
}

/** XYZ of a chromaticity at a luminance of 1. */
function atUnitLuminance(chromaticity: Chromaticity): Triple {
  const [x, y] = expectList("a chromaticity", chromaticity);
  return [expectFinite("x over y", x / y), 1, expectFinite("z over y", (1 - x - y) / y)];
}
