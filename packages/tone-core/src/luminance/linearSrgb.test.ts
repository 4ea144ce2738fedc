import Color from "colorjs.io";
import { describe, expect, test } from "vitest";
import { D50 } from "./adaptXyz.ts";
import { linearSrgbFromD50, toSrgbFromPrimaries } from "./linearSrgb.ts";
import { D50_XY, D65_XY, PRIMARIES } from "./luminanceRow.ts";

/** Published matrices differ by the rounding of white. */
const DIGITS = 3;

describe("toSrgbFromPrimaries", () => {
  test.each([
    ["srgb", "srgb-linear", D65_XY],
    ["displayP3", "p3-linear", D65_XY],
    ["adobeRgb", "a98rgb-linear", D65_XY],
    ["rec2020", "rec2020-linear", D65_XY],
    ["proPhoto", "prophoto-linear", D50_XY],
  ] as const)("of %s is what another implementation gives", (name, space, white) => {
    const columns = toSrgbFromPrimaries(PRIMARIES[name], white);
    for (const [i, column] of columns.entries()) {
      const rgb = [0, 1, 2].map((at) => (at === i ? 1 : 0)) as [number, number, number];
      const expected = new Color(space, rgb).to("srgb-linear").coords;
      column.forEach((part, at) => {
        expect(part).toBeCloseTo(expected[at] as number, DIGITS);
      });
    }
  });
});

test("linearSrgbFromD50 takes white to white", () => {
  for (const part of linearSrgbFromD50(D50)) expect(part).toBeCloseTo(1, 12);
});
