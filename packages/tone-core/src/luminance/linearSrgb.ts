import { expectList } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";
import { adaptXyz, D50, D65, type Xyz } from "./adaptXyz.ts";
import {
  type Chromaticity,
  LUMINANCE_ROWS,
  luminanceRowFromPrimaries,
  PRIMARIES,
  type Primaries,
} from "./luminanceRow.ts";
import { sharesOf } from "./matrix.ts";

/** Linear red, green and blue; 1 at white, and beyond [0, 1] for colours that sRGB does not hold. */
export type LinearRgb = readonly [number, number, number];

/** What red, green and blue of a space become in linear sRGB. */
export type ToSrgb = readonly [LinearRgb, LinearRgb, LinearRgb];

/**
 * Linear sRGB of a colour in the connection space of colour profiles, XYZ under D50.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a component that is not finite, given or resulting
 * @see [SRGB] for the primaries, [BRADFORD] for the way from D50 to D65
 *
 * @example
 * ```ts
 * linearSrgbFromD50(D50).map((part) => part.toFixed(4)); // => ["1.0000", "1.0000", "1.0000"]
 * ```
 */
export function linearSrgbFromD50(xyz: Xyz): LinearRgb {
  return linearSrgb(adaptXyz(xyz, D50, D65));
}

/**
 * What the primaries of an RGB space become in linear sRGB; neutrals keep their values.
 *
 * @param primaries - xy of red, green and blue
 * @param white - xy of the space's white
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when a chromaticity is not finite, or the primaries lie on one line
 */
export function toSrgbFromPrimaries(primaries: Primaries, white: Chromaticity): ToSrgb {
  expectList("the primaries", primaries);
  const row = luminanceRowFromPrimaries(primaries, white);
  const whiteXyz = xyzOf(white, 1);
  return primaries.map((xy, i) =>
    linearSrgb(adaptXyz(xyzOf(xy, row[i] as number), whiteXyz, D65)),
  ) as unknown as ToSrgb;
}

const SRGB_COLUMNS = PRIMARIES.srgb.map((xy, i) => xyzOf(xy, LUMINANCE_ROWS.srgb[i] as number)) as [
  Xyz,
  Xyz,
  Xyz,
];

/** Linear sRGB of XYZ under D65. */
function linearSrgb(xyz: Xyz): LinearRgb {
  const [red, green, blue] = sharesOf(SRGB_COLUMNS, xyz);
  return [
    expectFinite("linear red", red),
    expectFinite("linear green", green),
    expectFinite("linear blue", blue),
  ];
}

function xyzOf([x, y]: Chromaticity, luminance: number): Xyz {
  return [(luminance * x) / y, luminance, (luminance * (1 - x - y)) / y];
}
