import Color from "colorjs.io";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  ADOBE_RGB,
  adaptXyz,
  D50,
  D50_XY,
  D65,
  DISPLAY_P3,
  LUMINANCE_ROWS,
  type LuminanceRow,
  lightness,
  luminanceFromLightness,
  luminanceRowFromPrimaries,
  PROPHOTO,
  type Primaries,
  relativeLuminance,
  SRGB,
  type TransferFunction,
  toneFromSrgbCode,
} from "../packages/tone-core/src/index.ts";

// An independent implementation, colorjs.io, is the truth here.

/** Both sides compute in doubles from the same definitions. */
const SAME_CURVE = 1e-12;
const SAME_ROW = 1e-12;

type Triple = [number, number, number];

const curves: readonly (readonly [string, TransferFunction, string])[] = [
  ["srgb", SRGB, "srgb-linear"],
  ["p3", DISPLAY_P3, "p3-linear"],
  ["a98rgb", ADOBE_RGB, "a98rgb-linear"],
  ["prophoto", PROPHOTO, "prophoto-linear"],
];

describe.each(curves)("the transfer function of %s", (encodedSpace, transfer, linearSpace) => {
  const codes = Array.from({ length: 4097 }, (_, i) => i / 4096);

  test("linearise agrees over 4097 encoded values", () => {
    const worst = worstOf(codes, (encoded) => {
      const [theirs] = converted(encodedSpace, [encoded, encoded, encoded], linearSpace);
      return transfer.linearise(encoded) - theirs;
    });
    expect(worst).toBeLessThan(SAME_CURVE);
  });

  test("encode agrees over 4097 linear values", () => {
    const worst = worstOf(codes, (linear) => {
      const [theirs] = converted(linearSpace, [linear, linear, linear], encodedSpace);
      return transfer.encode(linear) - theirs;
    });
    expect(worst).toBeLessThan(SAME_CURVE);
  });
});

/** For ProPhoto colorjs.io takes primaries of six digits, where the standard prints four. */
const PROPHOTO_SIX_DIGITS: Primaries = [
  [0.734699, 0.265301],
  [0.159597, 0.840403],
  [0.036598, 0.000105],
];

const rows: readonly (readonly [string, LuminanceRow, string])[] = [
  ["srgb-linear", LUMINANCE_ROWS.srgb, "xyz-d65"],
  ["a98rgb-linear", LUMINANCE_ROWS.adobeRgb, "xyz-d65"],
  ["p3-linear", LUMINANCE_ROWS.displayP3, "xyz-d65"],
  ["rec2020-linear", LUMINANCE_ROWS.rec2020, "xyz-d65"],
  ["prophoto-linear", luminanceRowFromPrimaries(PROPHOTO_SIX_DIGITS, D50_XY), "xyz-d50"],
];

describe("relativeLuminance", () => {
  test.each(rows)("agrees over random colours of %s", (linearSpace, row, xyzSpace) => {
    const part = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.tuple(part, part, part), (rgb) => {
        const [, theirs] = converted(linearSpace, rgb, xyzSpace);
        expect(Math.abs(relativeLuminance(rgb, row) - theirs)).toBeLessThan(SAME_ROW);
      }),
      { seed: 1, numRuns: 300 },
    );
  });

  test("of ProPhoto by the standard's four digits is within 1e-5 of six digits", () => {
    const six = luminanceRowFromPrimaries(PROPHOTO_SIX_DIGITS, D50_XY);
    LUMINANCE_ROWS.proPhoto.forEach((share, i) => {
      expect(Math.abs(share - (six[i] as number))).toBeLessThan(1e-5);
    });
  });
});

describe("lightness", () => {
  const luminances = Array.from({ length: 1001 }, (_, i) => i / 1000);

  test("lightness agrees over 1001 luminances", () => {
    const worst = worstOf(luminances, (y) => {
      const [theirs] = converted("xyz-d50", neutralD50(y), "lab");
      return lightness(y) - theirs;
    });
    expect(worst).toBeLessThan(1e-9);
  });

  test("luminanceFromLightness agrees over 1001 lightnesses", () => {
    const worst = worstOf(luminances, (part) => {
      const [, theirs] = converted("lab", [100 * part, 0, 0], "xyz-d50");
      return luminanceFromLightness(100 * part) - theirs;
    });
    expect(worst).toBeLessThan(1e-12);
  });

  test("toneFromSrgbCode(code).lightness agrees for every grey code", () => {
    const codes = Array.from({ length: 255 }, (_, i) => i + 1);
    const worst = worstOf(codes, (code) => {
      const [theirs] = converted("srgb", [code / 255, code / 255, code / 255], "lab");
      return toneFromSrgbCode(code).lightness - theirs;
    });
    expect(worst).toBeLessThan(1e-6);
  });
});

describe("adaptXyz", () => {
  test("agrees with the other implementation from D65 to D50 over random colours", () => {
    const part = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.tuple(part, part, part), (xyz) => {
        const theirs = converted("xyz-d65", xyz, "xyz-d50");
        // theirs ends in the D50 of the chromaticity 0.3457, 0.3585; the profile's differs in the fourth digit
        const ours = adaptXyz(xyz, D65, [0.3457 / 0.3585, 1, (1 - 0.3457 - 0.3585) / 0.3585]);
        ours.forEach((value, i) => {
          expect(Math.abs(value - (theirs[i] as number))).toBeLessThan(1e-6);
        });
        expect(adaptXyz(adaptXyz(xyz, D65, D50), D50, D65)[1]).toBeCloseTo(xyz[1], 12);
      }),
      { seed: 2, numRuns: 300 },
    );
  });
});

function converted(from: string, coords: Triple, to: string): Triple {
  return new Color(from, coords).to(to).coords as Triple;
}

/** XYZ of a neutral under the D50 that L* of colorjs.io is relative to. */
function neutralD50(y: number): Triple {
  return [(0.3457 / 0.3585) * y, y, ((1 - 0.3457 - 0.3585) / 0.3585) * y];
}

function worstOf(inputs: readonly number[], difference: (input: number) => number): number {
  return Math.max(...inputs.map((input) => Math.abs(difference(input))));
}
