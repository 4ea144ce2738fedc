import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  D65_XY,
  LUMINANCE_ROWS,
  luminanceRowFromPrimaries,
  relativeLuminance,
} from "./luminanceRow.ts";

describe("LUMINANCE_ROWS", () => {
  test.each(Object.entries(LUMINANCE_ROWS))(
    "%s adds up to 1, so neutrals keep their value",
    (_, row) => {
      fc.assert(
        fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (grey) => {
          expect(relativeLuminance([grey, grey, grey], row)).toBeCloseTo(grey, 14);
        }),
      );
    },
  );
});

describe("relativeLuminance", () => {
  test("doubles with the light", () => {
    const part = fc.double({ min: 0, max: 0.5, noNaN: true });
    fc.assert(
      fc.property(part, part, part, (r, g, b) => {
        expect(relativeLuminance([2 * r, 2 * g, 2 * b])).toBeCloseTo(
          2 * relativeLuminance([r, g, b]),
          12,
        );
      }),
    );
  });

  test.each([Number.NaN, Infinity])("throws for a component of %s, by its name", (bad) => {
    expect(() => relativeLuminance([bad, 0, 0])).toThrow(/finite number for linear red/);
    expect(() => relativeLuminance([0, bad, 0])).toThrow(/finite number for linear green/);
    expect(() => relativeLuminance([0, 0, bad])).toThrow(/finite number for linear blue/);
  });
});

describe("luminanceRowFromPrimaries", () => {
  test.each([
    [
      "on one line",
      [
        [0.1, 0.1],
        [0.2, 0.2],
        [0.3, 0.3],
      ],
    ],
    [
      "without a y",
      [
        [0.64, 0],
        [0.3, 0.6],
        [0.15, 0.06],
      ],
    ],
    [
      "not finite",
      [
        [Number.NaN, 0.33],
        [0.3, 0.6],
        [0.15, 0.06],
      ],
    ],
  ] as const)("throws for primaries %s", (_, primaries) => {
    expect(() => luminanceRowFromPrimaries(primaries, D65_XY)).toThrow(
      expect.objectContaining({
        code: "TONE_OUT_OF_RANGE",
        message: expect.stringMatching(/Expected (primaries that span|a finite number for)/),
      }),
    );
  });
});
