import { describe, expect, test } from "vitest";
import { adaptXyz, D50, D65, type Xyz } from "./adaptXyz.ts";

describe("adaptXyz", () => {
  test("takes one white to the other", () => {
    adaptXyz(D50, D50, D65).forEach((part, i) => {
      expect(part).toBeCloseTo(D65[i] as number, 12);
    });
  });

  test("to the same white changes nothing", () => {
    const xyz: Xyz = [0.3, 0.2, 0.1];
    adaptXyz(xyz, D65, D65).forEach((part, i) => {
      expect(part).toBeCloseTo(xyz[i] as number, 14);
    });
  });

  test.each([
    [[Number.NaN, 1, 1], D50, D65],
    [D50, [0, 0, 0], D65],
    [D50, D50, [Infinity, 1, 1]],
  ] as readonly [Xyz, Xyz, Xyz][])("(%j, %j, %j) throws", (xyz, from, to) => {
    expect(() => adaptXyz(xyz, from, to)).toThrow(
      expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
    );
  });
});
