import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { median, quantile, weightedMedian } from "./quantile.ts";

const SHARES = [0, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 1];

/** By NumPy 2.4.6: `numpy.quantile(values, SHARES, method="averaged_inverted_cdf")`, which is R's type 2. */
const BY_NUMPY = [
  { values: [7], quantiles: [7, 7, 7, 7, 7, 7, 7, 7, 7] },
  { values: [1, 2], quantiles: [1, 1, 1, 1, 1.5, 2, 2, 2, 2] },
  { values: [3, 1, 2], quantiles: [1, 1, 1, 1, 2, 3, 3, 3, 3] },
  { values: [4, 1, 3, 2], quantiles: [1, 1, 1, 1.5, 2.5, 3.5, 4, 4, 4] },
  { values: [-2.5, 0, 0, 9], quantiles: [-2.5, -2.5, -2.5, -1.25, 0, 4.5, 9, 9, 9] },
  { values: [5, 5, 5, 5, 5], quantiles: [5, 5, 5, 5, 5, 5, 5, 5, 5] },
  {
    values: [10, 9, 8, 7, 6, 5, 4, 3, 2, 1],
    quantiles: [1, 1, 1.5, 3, 5.5, 8, 9.5, 10, 10],
  },
  {
    values: [0.1, 0.7, -0.4, 2.2, 1.9, -3.1, 0.3],
    quantiles: [-3.1, -3.1, -3.1, -0.4, 0.3, 1.9, 2.2, 2.2, 2.2],
  },
];

const values = fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 1, maxLength: 40 });

describe("quantile", () => {
  test.each(BY_NUMPY)("of $values is that of another implementation", ({ values, quantiles }) => {
    expect(SHARES.map((share) => quantile(values, share))).toEqual(quantiles);
  });

  test("has at least its share at or below it and at least the rest at or above it", () => {
    fc.assert(
      fc.property(values, fc.integer({ min: 0, max: 100 }), (list, percent) => {
        const value = quantile(list, percent / 100);
        const count = (keep: (one: number) => boolean): number => 100 * list.filter(keep).length;
        expect(count((one) => one <= value)).toBeGreaterThanOrEqual(percent * list.length);
        expect(count((one) => one >= value)).toBeGreaterThanOrEqual((100 - percent) * list.length);
      }),
    );
  });

  test("is the same from the other end, in any order and on a scale that is moved", () => {
    fc.assert(
      fc.property(values, fc.integer({ min: 0, max: 100 }), (list, percent) => {
        const value = quantile(list, percent / 100);
        const turned = list.map((one) => -one).reverse();
        expect(quantile(turned, (100 - percent) / 100)).toBeCloseTo(-value, 12);
        expect(
          quantile(
            list.map((one) => 2 * one + 3),
            percent / 100,
          ),
        ).toBe(2 * value + 3);
      }),
    );
  });

  test("is not put off by the rounding of its share", () => {
    // 0.07 of a hundred is 7.000000000000001 in doubles.
    const hundred = Array.from({ length: 100 }, (_, i) => i + 1);
    expect(quantile(hundred, 0.07)).toBe(7.5);
  });
});

test("median is the middle value, or the mean of the middle pair", () => {
  expect(median([9, 1, 5])).toBe(5);
  expect(median([9, 1, 5, 6])).toBe(5.5);
});

describe("weightedMedian", () => {
  test("by equal weights is the median", () => {
    fc.assert(
      fc.property(values, fc.double({ min: 0.01, max: 100, noNaN: true }), (list, weight) => {
        expect(weightedMedian(list.map((value) => [value, weight]))).toBe(median(list));
      }),
    );
  });

  test("by whole weights is the median of values told so many times", () => {
    const pairs = fc.array(
      fc.tuple(fc.integer({ min: -50, max: 50 }), fc.integer({ min: 1, max: 5 })),
      {
        minLength: 1,
        maxLength: 20,
      },
    );
    fc.assert(
      fc.property(pairs, (list) => {
        const told = list.flatMap(([value, times]) => new Array<number>(times).fill(value));
        expect(weightedMedian(list)).toBe(median(told));
      }),
    );
  });
});
