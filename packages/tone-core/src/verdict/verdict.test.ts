import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { SRGB } from "../transfer/namedTransfers.ts";
import { codeQuantumStops } from "./codeQuantumStops.ts";
import {
  DEFAULT_TOLERANCE,
  ERROR_BUDGET,
  ERROR_BUDGET_PROVENANCE,
  errorUncertainty,
  type Kit,
  renderedUncertainty,
} from "./errorBudget.ts";
import { exposureError } from "./exposureError.ts";
import { verdict } from "./verdict.ts";

const error = fc.double({ min: -6, max: 6, noNaN: true });
const uncertainty = fc.double({ min: 0, max: 2, noNaN: true });
const tolerance = fc.double({ min: 0.05, max: 2, noNaN: true });
const outOfRange = expect.objectContaining({ code: "TONE_OUT_OF_RANGE" });

describe("exposureError", () => {
  test.each([
    [0.5, -3, -2, 2.5],
    [-4, -3, -2, -1],
    [-2.5, -3, -2, 0],
    [-3, -3, -2, 0],
    [-2, -3, -2, 0],
    [1, 0, 0, 1],
  ])("(%s) against %s..%s is %s", (fall, from, to, expected) => {
    expect(exposureError(fall, { from, to })).toBe(expected);
  });

  test("moves with the fall, stop for stop, outside the range", () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 5, noNaN: true }), (fall) => {
        const placement = { from: 0, to: 1 };
        expect(exposureError(fall + 1, placement) - exposureError(fall, placement)).toBeCloseTo(
          1,
          12,
        );
      }),
    );
  });

  test.each([Number.NaN, Infinity, -Infinity])("(%s) throws", (bad) => {
    expect(() => exposureError(bad, { from: 0, to: 0 })).toThrow(outOfRange);
    expect(() => exposureError(0, { from: bad, to: 0 })).toThrow(outOfRange);
  });
});

describe("verdict", () => {
  // Probabilities by the closed form, from tables of the normal distribution.
  test.each([
    [0, 1, 1, 0.6826894921],
    [0, 0.5, 1, 0.9544997361],
    [1, 0.5, 1, 0.4999683288],
    [-1, 0.5, 1, 0.4999683288],
    [2, 1, 1, 0.1573053558],
    [0, 2, 1, 0.3829249225],
  ])("error %s, uncertainty %s, tolerance %s: within with probability %s", (e, s, t, p) => {
    const result = verdict({ error: e, uncertainty: s, tolerance: t });
    expect(Math.abs((result.probabilityWithin as number) - p)).toBeLessThan(2e-7);
  });

  test.each([
    [0, 0.05, "within"],
    [0.25, 0.05, "within"],
    // 0.8 and 0.2 of the normal distribution lie 0.8416 standard deviations about the tolerance
    [1 / 3 - 0.846 * 0.05, 0.05, "within"],
    [1 / 3 - 0.836 * 0.05, 0.05, "undecided"],
    [1 / 3 + 0.836 * 0.05, 0.05, "undecided"],
    [1 / 3 + 0.846 * 0.05, 0.05, "over"],
    [-0.4, 0.05, "under"],
    [-2.3, 0.45, "under"],
    [0.4, 0.45, "undecided"],
  ])("error %s with uncertainty %s against 1/3 is %s", (e, s, expected) => {
    expect(verdict({ error: e, uncertainty: s, tolerance: 1 / 3 }).verdict).toBe(expected);
  });

  test("without uncertainty is the plain comparison, and undecided on the line itself", () => {
    const at = (e: number) => verdict({ error: e, uncertainty: 0, tolerance: 0.5 });
    expect(at(0.499)).toEqual({ verdict: "within", probabilityWithin: 1 });
    expect(at(0.501)).toEqual({ verdict: "over", probabilityWithin: 0 });
    expect(at(-0.501)).toEqual({ verdict: "under", probabilityWithin: 0 });
    expect(at(0.5)).toEqual({ verdict: "undecided", probabilityWithin: 0.5 });
  });

  test("names no side while the other keeps more than a fifth", () => {
    expect(verdict({ error: 0.05, uncertainty: 0.55, tolerance: 0.1 }).verdict).toBe("undecided");
    expect(verdict({ error: 0, uncertainty: 5, tolerance: 0.1 }).verdict).toBe("undecided");
  });

  test.each([
    [2, "at least", "over"],
    [0, "at least", "undecided"],
    [-2, "at least", "undecided"],
    [-2, "at most", "under"],
    [0, "at most", "undecided"],
    [2, "at most", "undecided"],
  ] as const)("an error of %s %s is %s", (e, bound, expected) => {
    expect(verdict({ error: e, uncertainty: 0.05, tolerance: 1 / 3, bound })).toEqual({
      verdict: expected,
      probabilityWithin: null,
    });
  });

  test("mirrors: over for an error is under for its opposite", () => {
    const mirrored = { over: "under", under: "over", within: "within", undecided: "undecided" };
    fc.assert(
      fc.property(error, uncertainty, tolerance, (e, s, t) => {
        const one = verdict({ error: e, uncertainty: s, tolerance: t });
        const other = verdict({ error: -e, uncertainty: s, tolerance: t });
        const p = one.probabilityWithin as number;
        expect(other.probabilityWithin).toBeCloseTo(p, 6);
        // the approximated normal distribution may tip a probability that sits on a threshold
        fc.pre(Math.abs(p - 0.8) > 1e-6 && Math.abs(p - 0.2) > 1e-6);
        expect(other.verdict).toBe(mirrored[one.verdict]);
      }),
    );
  });

  test("a greater error is never likelier to be within", () => {
    fc.assert(
      fc.property(error, error, uncertainty, tolerance, (a, b, s, t) => {
        const [near, far] = [a, b].map(Math.abs).sort((x, y) => x - y) as [number, number];
        const p = (e: number) =>
          verdict({ error: e, uncertainty: s, tolerance: t }).probabilityWithin as number;
        expect(p(far)).toBeLessThanOrEqual(p(near) + 2e-7);
      }),
    );
  });

  test.each([
    { error: Number.NaN },
    { error: Infinity },
    { uncertainty: -0.1 },
    { uncertainty: Number.NaN },
    { tolerance: 0 },
    { tolerance: -1 },
    { tolerance: Infinity },
  ])("%j throws", (bad) => {
    expect(() => verdict({ error: 0, uncertainty: 0.1, tolerance: 1, ...bad })).toThrow(outOfRange);
  });
});

describe("errorUncertainty", () => {
  test("adds its parts in squares", () => {
    const { total, parts } = errorUncertainty({
      kit: "card",
      stopsFromMiddle: -2,
      comparesSettings: true,
    });
    expect(parts).toEqual({
      middleGrey: 0.1,
      curve: 0.24,
      region: 0.05,
      settingsPair: 0.05,
      evenness: 0.12,
    });
    expect(total).toBeCloseTo(Math.sqrt(0.01 + 0.0576 + 0.0025 + 0.0025 + 0.0144), 12);
  });

  test("counts a pair of settings only where two frames are compared", () => {
    const { parts } = errorUncertainty({ kit: "card", stopsFromMiddle: 0 });
    expect(parts.settingsPair).toBe(0);
  });

  test("of a claim about the picture is the measuring error, or one code where that is larger", () => {
    expect(renderedUncertainty(0.026)).toBe(0.05);
    expect(renderedUncertainty(0.14)).toBe(0.14);
  });

  test("is our judgement, and says so; so are the tolerances, between 1/3 stop and one", () => {
    expect(ERROR_BUDGET_PROVENANCE).toBe("our judgement");
    expect(DEFAULT_TOLERANCE).toEqual({
      rendered: 1 / 3,
      "unknown-jpeg": 1,
      card: 0.5,
      raw: 0.5,
      response: 1 / 3,
    });
  });

  test("takes measured noise where it is above the least, and the least otherwise", () => {
    const region = (regionNoise: number) =>
      errorUncertainty({ kit: "raw", stopsFromMiddle: 0, regionNoise }).parts.region;
    expect(region(0.2)).toBe(0.2);
    expect(region(0.01)).toBe(0.05);
  });

  test("grows with the distance from middle grey only where the curve is unknown", () => {
    const total = (kit: Kit, stopsFromMiddle: number) =>
      errorUncertainty({ kit, stopsFromMiddle }).total;
    expect(total("unknown-jpeg", 2)).toBeGreaterThan(total("unknown-jpeg", 0));
    expect(total("raw", 2)).toBe(total("raw", 0));
  });

  test.each(Object.keys(ERROR_BUDGET) as Kit[])(
    "a perfect frame from kit %s is within the default tolerance",
    (kit) => {
      const { total } = errorUncertainty({ kit, stopsFromMiddle: 0 });
      const result = verdict({ error: 0, uncertainty: total, tolerance: DEFAULT_TOLERANCE[kit] });
      expect(result.verdict).toBe("within");
    },
  );

  test.each([Number.NaN, Infinity])("throws for a distance or noise of %s", (bad) => {
    expect(() => errorUncertainty({ kit: "raw", stopsFromMiddle: bad })).toThrow(outOfRange);
    expect(() => errorUncertainty({ kit: "raw", stopsFromMiddle: 0, regionNoise: bad })).toThrow(
      outOfRange,
    );
    expect(() => renderedUncertainty(bad)).toThrow(outOfRange);
  });
});

describe("codeQuantumStops", () => {
  test("two bits are the fewest with a code between black and white", () => {
    expect(codeQuantumStops(1, SRGB, 2)).toBeGreaterThan(codeQuantumStops(1, SRGB, 3));
    expect(() => codeQuantumStops(1, SRGB, 1)).toThrow(outOfRange);
  });

  // The published sizes of one 8-bit sRGB code.
  test.each([
    [10, 0.141],
    [20, 0.1],
    [46, 0.057],
    [100, 0.03],
    [118, 0.026],
    [128, 0.024],
    [186, 0.017],
    [200, 0.016],
    [245, 0.013],
  ])("at sRGB code %i is %s stop", (code, stops) => {
    const luminance = SRGB.linearise(code / 255);
    expect(Math.abs(codeQuantumStops(luminance, SRGB) - stops)).toBeLessThanOrEqual(0.0005 + 1e-9);
  });

  test("is 257 times finer in 16 bits around the mid-tones", () => {
    const ratio = codeQuantumStops(0.18, SRGB, 8) / codeQuantumStops(0.18, SRGB, 16);
    expect(ratio).toBeGreaterThan(250);
    expect(ratio).toBeLessThan(260);
  });

  test("at white is the step down", () => {
    const below = SRGB.linearise(254 / 255);
    expect(codeQuantumStops(1, SRGB)).toBeCloseTo(Math.log2(1 / below), 9);
  });

  test.each([0, -1, 1.1, Number.NaN])("throws for a luminance of %s", (bad) => {
    expect(() => codeQuantumStops(bad, SRGB)).toThrow(outOfRange);
  });

  test.each([1, 17, 8.5])("throws for %s bits", (bits) => {
    expect(() => codeQuantumStops(0.18, SRGB, bits)).toThrow(/2 to 16/);
  });
});
