import { median, quantile } from "@tonefall/tone-core";
import { mean, sampleStandardDeviation } from "simple-statistics";
import { describe, expect, test } from "vitest";
import { kendallScore, kendallVariance, rareScore } from "./kendall.ts";

/* NIST Statistical Reference Datasets, univariate: https://www.itl.nist.gov/div898/strd/univ/ */

/** Mavro: 50 transmittances of a filter, in the order in which they were taken; they drift upwards. */
const MAVRO = [
  2.0018, 2.0017, 2.0018, 2.0019, 2.0018, 2.0017, 2.0015, 2.0014, 2.0015, 2.0015, 2.0017, 2.0018,
  2.0018, 2.0019, 2.0019, 2.0021, 2.002, 2.0016, 2.0014, 2.0013, 2.0013, 2.0015, 2.0015, 2.0016,
  2.0015, 2.0014, 2.0013, 2.0014, 2.0015, 2.0014, 2.0015, 2.0016, 2.0015, 2.0016, 2.0019, 2.002,
  2.002, 2.0021, 2.0022, 2.0023, 2.0024, 2.0025, 2.0027, 2.0026, 2.0026, 2.0026, 2.0027, 2.0026,
  2.0025, 2.0024,
];

/** Lottery: 218 winning numbers in a row, which have no reason to drift. */
const LOTTERY = [
  162, 671, 933, 414, 788, 730, 817, 33, 536, 875, 670, 236, 473, 167, 877, 980, 316, 950, 456, 92,
  517, 557, 956, 954, 104, 178, 794, 278, 147, 773, 437, 435, 502, 610, 582, 780, 689, 562, 964,
  791, 28, 97, 848, 281, 858, 538, 660, 972, 671, 613, 867, 448, 738, 966, 139, 636, 847, 659, 754,
  243, 122, 455, 195, 968, 793, 59, 730, 361, 574, 522, 97, 762, 431, 158, 429, 414, 22, 629, 788,
  999, 187, 215, 810, 782, 47, 34, 108, 986, 25, 644, 829, 630, 315, 567, 919, 331, 207, 412, 242,
  607, 668, 944, 749, 168, 864, 442, 533, 805, 372, 63, 458, 777, 416, 340, 436, 140, 919, 350, 510,
  572, 905, 900, 85, 389, 473, 758, 444, 169, 625, 692, 140, 897, 672, 288, 312, 860, 724, 226, 884,
  508, 976, 741, 476, 417, 831, 15, 318, 432, 241, 114, 799, 955, 833, 358, 935, 146, 630, 830, 440,
  642, 356, 373, 271, 715, 367, 393, 190, 669, 8, 861, 108, 795, 269, 590, 326, 866, 64, 523, 862,
  840, 219, 382, 998, 4, 628, 305, 747, 247, 34, 747, 729, 645, 856, 974, 24, 568, 24, 694, 608,
  480, 410, 729, 947, 293, 53, 930, 223, 203, 677, 227, 62, 455, 387, 318, 562, 242, 428, 968,
];

/** NumAcc1 to NumAcc4: one value, and others evenly around it, so that the certified mean is the middle of the set too. */
const around = (middle: number, step: number, pairs: number): number[] => [
  middle,
  ...Array.from({ length: pairs }, () => [middle - step, middle + step]).flat(),
];
const NUMERICAL_ACCURACY: readonly (readonly [string, readonly number[], number, number])[] = [
  ["NumAcc1", [10000001, 10000003, 10000002], 10000002, 1],
  ["NumAcc2", around(1.2, 0.1, 500), 1.2, 0.1],
  ["NumAcc3", around(1000000.2, 0.1, 500), 1000000.2, 0.1],
  ["NumAcc4", around(10000000.2, 0.1, 500), 10000000.2, 0.1],
];

describe("reference data", () => {
  test.each(NUMERICAL_ACCURACY)(
    "%s: our median is the certified mean, and our quartiles lie the certified deviation from it",
    (name, values, certified, s) => {
      expect(mean([...values])).toBeCloseTo(certified, 6);
      expect(sampleStandardDeviation([...values])).toBeCloseTo(s, 8);
      expect(median(values)).toBe(certified);
      const half = name === "NumAcc1" ? 1 : s;
      expect(quantile(values, 0.75) - quantile(values, 0.25)).toBeCloseTo(2 * half, 8);
    },
  );

  test("values that alternate have no trend, however large they are", () => {
    for (const [, values] of NUMERICAL_ACCURACY.slice(1)) {
      expect(Math.abs(kendallScore(values))).toBeLessThan(rareScore(values.length) as number);
    }
  });

  test.each([
    ["Mavro", MAVRO, 2.001856, 0.000429123454003053],
    ["Lottery", LOTTERY, 518.95871559633, 291.699727470969],
  ])("%s is whole: its mean and deviation are the certified ones", (_, values, certified, s) => {
    expect(mean(values)).toBeCloseTo(certified, 11);
    expect(sampleStandardDeviation(values) / s).toBeCloseTo(1, 11);
  });

  test("what drifts has a score that is rare by accident, and what does not has none", () => {
    expect(kendallScore(MAVRO)).toBeGreaterThan(rareScore(MAVRO.length) as number);
    expect(Math.abs(kendallScore(LOTTERY))).toBeLessThan(rareScore(LOTTERY.length) as number);
  });
});

describe("the score of an order", () => {
  test("of 1 to 100 and its variance are the published ones of the Mann-Kendall test", () => {
    const rising = Array.from({ length: 100 }, (_, i) => i + 1);
    expect(kendallScore(rising)).toBe(4950);
    expect(kendallVariance(rising)).toBe(112_750);
    expect((4950 - 1) / Math.sqrt(kendallVariance(rising))).toBeCloseTo(14.73869998, 8);
  });

  test("counts equal values for nothing, in its variance too", () => {
    expect(kendallScore([2, 2, 2])).toBe(0);
    expect(kendallVariance([2, 2, 2])).toBe(0);
  });

  // Critical values of Kendall's S at 5 %, one-sided, as tables give them (from memory); below, all orders are counted.
  test.each([
    [3, null],
    [4, 6],
    [5, 8],
    [6, 11],
    [7, 13],
    [8, 16],
    [9, 18],
    [10, 21],
  ])("of %i values is rare by accident from %s", (count, score) => {
    expect(rareScore(count)).toBe(score);
  });

  test("is rare in as many orders as counting all of them says", () => {
    for (const count of [4, 5, 6, 7]) {
      const scores = orders(count).map(kendallScore);
      const shareFrom = (least: number): number =>
        scores.filter((score) => score >= least).length / scores.length;
      const least = rareScore(count) as number;
      expect(shareFrom(least)).toBeLessThanOrEqual(0.05);
      expect(shareFrom(least - 2)).toBeGreaterThan(0.05);
    }
  });

  test("goes over to the normal law without a step", () => {
    const [exact, normal] = [rareScore(60) as number, rareScore(61) as number];
    expect(normal - exact).toBeGreaterThan(0);
    expect(normal - exact).toBeLessThan(12);
  });
});

function orders(count: number): number[][] {
  if (count === 0) return [[]];
  return orders(count - 1).flatMap((order) =>
    Array.from({ length: count }, (_, at) => [...order.slice(0, at), count, ...order.slice(at)]),
  );
}
