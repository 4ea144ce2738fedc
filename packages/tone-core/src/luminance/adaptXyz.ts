import { expectList } from "../expectGiven.ts";
import { expectFinite, expectPositive } from "../expectNumber.ts";
import { D65_XY } from "./luminanceRow.ts";
import { inverseOf, type Matrix, times } from "./matrix.ts";

/** CIE XYZ, Y of white is 1. */
export type Xyz = readonly [number, number, number];

/** White of the connection space of colour profiles. [ICC] */
export const D50: Xyz = [0.9642, 1, 0.8249];

/** White of sRGB, Adobe RGB and Display P3, from its chromaticity. [SRGB] */
export const D65: Xyz = [D65_XY[0] / D65_XY[1], 1, (1 - D65_XY[0] - D65_XY[1]) / D65_XY[1]];

/** From XYZ to the sharpened cone responses of the Bradford transform. [BRADFORD] */
const BRADFORD: Matrix = [
  [0.8951, 0.2664, -0.1614],
  [-0.7502, 1.7135, 0.0367],
  [0.0389, -0.0685, 1.0296],
];
const BRADFORD_INVERSE: Matrix = inverseOf(BRADFORD) as Matrix;

/**
 * A colour as it would have to be under another white to look the same: the linear Bradford transform.
 *
 * Profiles carry their colorants adapted to {@link D50}; from there to the picture's own white undoes it.
 *
 * @param xyz - the colour under `from`
 * @param from - XYZ of the white it is under
 * @param to - XYZ of the white wanted
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a component that is not finite, given or resulting, or a white without light
 * @see [BRADFORD]
 *
 * @example
 * ```ts
 * adaptXyz(D50, D50, D65).map((part) => part.toFixed(4)); // => ["0.9505", "1.0000", "1.0891"]
 * ```
 */
export function adaptXyz(xyz: Xyz, from: Xyz, to: Xyz): Xyz {
  expectList("XYZ", xyz);
  expectList("the white before", from);
  expectList("the white after", to);
  for (const part of xyz) expectFinite("XYZ", part);
  const cones = times(BRADFORD, xyz);
  const before = times(BRADFORD, from);
  const after = times(BRADFORD, to);
  const scaled = (i: 0 | 1 | 2): number =>
    (cones[i] * expectPositive("white", after[i])) / expectPositive("white", before[i]);
  const adapted = times(BRADFORD_INVERSE, [scaled(0), scaled(1), scaled(2)]);
  for (const part of adapted) expectFinite("adapted XYZ", part);
  return adapted;
}
