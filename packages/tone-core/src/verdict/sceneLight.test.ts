import { describe, expect, test } from "vitest";
import { ToneError } from "../errors.ts";
import { renderedOfLight, SHOULDER_STOPS, sceneLight, sceneLightBy } from "./sceneLight.ts";

const steps = Array.from({ length: 261 }, (_, i) => -10 + i / 20);

describe("sceneLight", () => {
  // By brackets straight from five cameras a stop of light shows as 1.13 to 1.48 around the mid-tones.
  test("takes a stop of the picture for less than one of light around the mid-tones", () => {
    for (const shown of [-1.5, -1, -0.5, 0, 0.5, 1]) {
      const light = sceneLight(shown + 0.25).stops - sceneLight(shown - 0.25).stops;
      expect(0.5 / light, `${shown}`).toBeGreaterThan(1.1);
      expect(0.5 / light, `${shown}`).toBeLessThan(1.5);
    }
  });

  test("finds middle grey where the picture shows it, to a twentieth of a stop", () => {
    expect(Math.abs(sceneLight(0).stops)).toBeLessThan(0.05);
  });

  test("rises everywhere, and knows least what is farthest from the mid-tones", () => {
    const stops = steps.map((shown) => sceneLight(shown).stops);
    expect(stops).toEqual([...stops].sort((a, b) => a - b));
    expect(new Set(stops).size).toBe(stops.length);
    const [black, dark, grey] = [-6, -3, 0].map((shown) => sceneLight(shown).uncertainty);
    expect(black).toBeGreaterThan(dark as number);
    expect(dark).toBeGreaterThan(grey as number);
  });

  test("is a bound above the shoulder, and a number up to it", () => {
    expect(sceneLight(SHOULDER_STOPS).bound).toBeNull();
    expect(sceneLight(SHOULDER_STOPS + 0.01).bound).toBe("at least");
    expect(sceneLight(-9).bound).toBeNull();
  });

  test("goes on along its ends, as uncertain as there", () => {
    const beyond = [-12, -11, -10].map((shown) => sceneLight(shown));
    expect(new Set(beyond.map(({ uncertainty }) => uncertainty)).size).toBe(1);
    expect(beyond[0]?.stops).toBeLessThan(beyond[1]?.stops as number);
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY])("throws for %s", (bad) => {
    expect(() => sceneLight(bad)).toThrow(ToneError);
    expect(() => renderedOfLight(bad)).toThrow(ToneError);
  });
});

test("renderedOfLight undoes sceneLight", () => {
  for (const shown of steps) expect(renderedOfLight(sceneLight(shown).stops)).toBeCloseTo(shown, 9);
});

describe("sceneLightBy", () => {
  const line = [
    [-2, -1, 0.5],
    [2, 1, 0.1],
  ] as const;

  test("is straight between knots", () => {
    expect(sceneLightBy(line, 0)).toEqual({ stops: 0, uncertainty: 0.3, bound: null });
  });

  test("throws for fewer than two", () => {
    expect(() => sceneLightBy([[0, 0, 1]], 0)).toThrow("at least 2 knots");
  });
});
