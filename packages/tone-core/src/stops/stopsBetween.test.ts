import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { luminanceAtStops, stopsBetween } from "./stopsBetween.ts";

const luminance = fc.double({ min: 1e-9, max: 1e9, noNaN: true });
const stops = fc.double({ min: -30, max: 30, noNaN: true });

describe("stopsBetween", () => {
  test("of middle grey is 0, of twice as much is 1, of half is -1", () => {
    expect(stopsBetween(0.18)).toBe(0);
    expect(stopsBetween(0.36)).toBe(1);
    expect(stopsBetween(0.09)).toBe(-1);
  });

  test("is positive for the brighter of two", () => {
    expect(stopsBetween(8, 1)).toBe(3);
    expect(stopsBetween(1, 8)).toBe(-3);
  });

  test("adds up along a chain of luminances", () => {
    fc.assert(
      fc.property(luminance, luminance, luminance, (a, b, c) => {
        expect(stopsBetween(a, b) + stopsBetween(b, c)).toBeCloseTo(stopsBetween(a, c), 10);
      }),
    );
  });

  test("moves by exactly 1 when the light doubles", () => {
    fc.assert(
      fc.property(luminance, (y) => {
        expect(stopsBetween(2 * y) - stopsBetween(y)).toBeCloseTo(1, 12);
      }),
    );
  });

  test.each([0, -0, -1, Number.NaN, Infinity, -Infinity])("(%s) throws", (y) => {
    expect(() => stopsBetween(y)).toThrow(
      expect.objectContaining({ name: "ToneError", code: "TONE_OUT_OF_RANGE" }),
    );
    expect(() => stopsBetween(1, y)).toThrow(/above zero for reference luminance/);
  });
});

describe("luminanceAtStops", () => {
  test("is the inverse of stopsBetween", () => {
    fc.assert(
      fc.property(stops, luminance, (s, reference) => {
        expect(stopsBetween(luminanceAtStops(s, reference), reference)).toBeCloseTo(s, 10);
      }),
    );
  });

  test.each([Number.NaN, Infinity, -Infinity])("(%s) throws", (s) => {
    expect(() => luminanceAtStops(s)).toThrow(/finite number for stops/);
  });
});
