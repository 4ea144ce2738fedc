import { median } from "@tonefall/tone-core";
// @ts-expect-error It has no types.
import { TheilSenRegression } from "ml-regression-theil-sen";
import { describe, expect, test } from "vitest";
import { seededRandom } from "../../../bench/simulation/random.ts";
import { kendallVariance } from "./kendall.ts";
import { type PlacedValue, pairSlopes, slopeInterval } from "./pairSlopes.ts";

describe("the robust slope", () => {
  // The example of ci.theil in statpsych (Bonett 2021, after Hollander and Wolfe): slope 0.5, interval 0.3243243 to 0.75.
  test("and its interval are those of the published example", () => {
    const x = [67, 28, 30, 28, 52, 40, 25, 37, 44, 10, 14, 20, 28, 40, 51];
    const y = [21, 4, 9, 12, 35, 18, 10, 22, 24, 1, 6, 8, 13, 16, 19];
    const slopes = pairSlopes(x.map((place, i) => [place, y[i] as number]));
    expect(median(slopes)).toBe(0.5);
    // It takes the normal law for the pairs that have a slope, and the next score above for rare.
    const score = 1.959963985 * Math.sqrt((slopes.length * (2 * x.length + 5)) / 9);
    const { from, to } = slopeInterval(slopes, score + 2);
    expect(from).toBeCloseTo(0.3243243, 7);
    expect(to).toBe(0.75);
    expect(kendallVariance(x.map((_, i) => i))).toBeCloseTo((105 * 35) / 9, 10);
  });

  test("is that of another library", () => {
    const random = seededRandom(7);
    for (let trial = 0; trial < 20; trial++) {
      // Of ten points come 45 slopes: of an even number the other takes one of the two in the middle.
      const points = Array.from(
        { length: 10 },
        (_, i): PlacedValue => [i + random.between(0, 0.5), random.normal(1)],
      );
      const other: { slope: number } = new TheilSenRegression(
        points.map(([x]) => x),
        points.map(([, y]) => y),
      );
      expect(median(pairSlopes(points))).toBeCloseTo(other.slope, 12);
    }
  });

  test("of a line is the line's, whatever one value does", () => {
    const line = Array.from({ length: 9 }, (_, i): PlacedValue => [i, 2 - 0.25 * i]);
    const wild = line.with(4, [4, 1000]);
    expect(median(pairSlopes(wild))).toBe(-0.25);
  });
});
