import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parseStops } from "./parseStops.ts";
import { roundToThirds, speakStops } from "./speakStops.ts";

describe("roundToThirds", () => {
  test.each([
    [0, 0],
    [0.16, 0],
    [0.17, 1 / 3],
    [-0.5, -2 / 3],
    [0.5, 2 / 3],
    [1.7, 5 / 3],
    [-2.3, -7 / 3],
  ])("(%s) is %s", (stops, rounded) => {
    expect(roundToThirds(stops)).toBe(rounded);
  });

  test("never gives -0", () => {
    expect(Object.is(roundToThirds(-0.1), 0)).toBe(true);
  });

  test("stays within a sixth and treats both signs alike", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 20, noNaN: true }), (stops) => {
        expect(Math.abs(roundToThirds(stops) - stops)).toBeLessThanOrEqual(1 / 6 + 1e-12);
        expect(roundToThirds(-stops)).toBeCloseTo(-roundToThirds(stops), 12);
      }),
    );
  });

  test.each([Number.NaN, Infinity, -Infinity])("(%s) throws", (stops) => {
    expect(() => roundToThirds(stops)).toThrow(
      expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
    );
  });
});

describe("speakStops", () => {
  test.each([
    [5 / 3, "1 2/3 stops", "+1 2/3 stops"],
    [-5 / 3, "1 2/3 stops", "-1 2/3 stops"],
    [1 / 3, "1/3 stop", "+1/3 stop"],
    [-0.7, "2/3 stop", "-2/3 stop"],
    [1, "1 stop", "+1 stop"],
    [4 / 3, "1 1/3 stops", "+1 1/3 stops"],
    [-2, "2 stops", "-2 stops"],
    [0.1, "no difference", "no difference"],
    [-0.1, "no difference", "no difference"],
  ])("(%s) is %s, with its sign %s", (stops, plain, signed) => {
    expect(speakStops(stops)).toBe(plain);
    expect(speakStops(stops, { sign: true })).toBe(signed);
  });

  test("says what parseStops understands", () => {
    fc.assert(
      fc.property(fc.integer({ min: -60, max: 60 }), (thirds) => {
        fc.pre(thirds !== 0);
        expect(parseStops(speakStops(thirds / 3, { sign: true }))).toBeCloseTo(thirds / 3, 12);
      }),
    );
  });
});
