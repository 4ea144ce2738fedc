import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { responseCurve } from "./responseCurve.ts";

const outOfRange = expect.objectContaining({ code: "TONE_OUT_OF_RANGE" });

const rising = fc
  .uniqueArray(fc.integer({ min: 1, max: 255 }), { minLength: 2, maxLength: 40 })
  .chain((codes) =>
    fc.tuple(
      fc.constant([...codes].sort((a, b) => a - b)),
      fc.array(fc.double({ min: 0.001, max: 2, noNaN: true }), {
        minLength: codes.length,
        maxLength: codes.length,
      }),
    ),
  )
  .map(([codes, rises]) => {
    let stops = -8;
    return codes.map((code, i) => {
      stops += rises[i] as number;
      return { code, stops };
    });
  });

describe("responseCurve", () => {
  test("passes through its points, and straight through logarithms", () => {
    const curve = responseCurve(
      [16, 50, 128, 255].map((code) => ({ code, stops: Math.log2(code / 128) })),
    );
    for (const code of [4, 16, 33, 50, 100, 128, 200, 255]) {
      expect(curve.stopsAt(code)).toBeCloseTo(Math.log2(code / 128), 12);
    }
    expect(curve.codeAt(-1)).toBeCloseTo(64, 6);
    expect([curve.from, curve.to]).toEqual([16, 255]);
  });

  test("rises between any rising points, and codeAt is its inverse", () => {
    fc.assert(
      fc.property(rising, fc.double({ min: 1, max: 254, noNaN: true }), (points, code) => {
        const { stopsAt, codeAt } = responseCurve(points);
        expect(stopsAt(code + 1)).toBeGreaterThan(stopsAt(code));
        expect(codeAt(stopsAt(code))).toBeCloseTo(code, 4);
      }),
    );
  });

  test("has no light below code 0 but a little, and no code above 255", () => {
    const { stopsAt, codeAt } = responseCurve([
      { code: 20, stops: -3 },
      { code: 200, stops: 1 },
    ]);
    expect(stopsAt(0)).toBe(stopsAt(0.5));
    expect([codeAt(-40), codeAt(40)]).toEqual([0, 255]);
  });

  test("interpolates uncertainty, and keeps it at the ends", () => {
    const { uncertaintyAt } = responseCurve([
      { code: 20, stops: -3, uncertainty: 0.1 },
      { code: 120, stops: 0, uncertainty: 0.02 },
      { code: 220, stops: 2 },
    ]);
    expect(uncertaintyAt(70)).toBeCloseTo(0.06, 12);
    expect([uncertaintyAt(3), uncertaintyAt(250)]).toEqual([0.1, 0]);
  });

  test.each([
    [[]],
    [[{ code: 118, stops: 0 }]],
    [
      [
        { code: 0, stops: -1 },
        { code: 118, stops: 0 },
      ],
    ],
    [
      [
        { code: 118, stops: 0 },
        { code: 118, stops: 1 },
      ],
    ],
    [
      [
        { code: 20, stops: 0 },
        { code: 118, stops: 0 },
      ],
    ],
    [
      [
        { code: 20, stops: Number.NaN },
        { code: 118, stops: 0 },
      ],
    ],
    [
      [
        { code: 20, stops: 0 },
        { code: 256, stops: 1 },
      ],
    ],
  ])("throws for %j", (points) => {
    expect(() => responseCurve(points)).toThrow(outOfRange);
  });
});
