import { describe, expect, test } from "vitest";
import { SRGB } from "../transfer/namedTransfers.ts";
import { recoverResponse } from "./recoverResponse.ts";
import type { ResponseInput, ResponseObservation } from "./responseInput.ts";

/** Gauss and Jordan's inverse: small, slow and none of the package's. */
function invert(matrix: number[][]): number[][] {
  const n = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  for (let i = 0; i < n; i++) {
    const pivot = rows
      .slice(i)
      .reduce(
        (best, row, k) =>
          Math.abs(row[i] as number) > Math.abs(rows[best]?.[i] as number) ? k + i : best,
        i,
      );
    [rows[i], rows[pivot]] = [rows[pivot] as number[], rows[i] as number[]];
    const own = rows[i] as number[];
    const scale = own[i] as number;
    for (let k = 0; k < 2 * n; k++) own[k] = (own[k] as number) / scale;
    for (const [j, row] of rows.entries()) {
      const factor = row[i] as number;
      if (j === i || factor === 0) continue;
      for (let k = 0; k < 2 * n; k++) row[k] = (row[k] as number) - factor * (own[k] as number);
    }
  }
  return rows.map((row) => row.slice(n));
}

function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return (state >>> 0) / 2 ** 32;
  };
}

const normal = (source: () => number): number =>
  Math.sqrt(-2 * Math.log(1 - source())) * Math.cos(2 * Math.PI * source());

const sCurve = (contrast: number) => (light: number) =>
  1 / (1 + (1 / SRGB.encode(0.18) - 1) * (light / 0.18) ** -contrast);
/** The six kinds of curve; of the one that differs by channel, its softest and its hardest. */
const CURVES: readonly ((light: number) => number)[] = [
  (light) => SRGB.encode(Math.min(1, light)),
  sCurve(0.9),
  sCurve(1.2),
  (light) => SRGB.encode(1 - Math.exp(-1.15 * light)),
  (light) => (12 + 243 * SRGB.encode(Math.min(1, 0.8 * light)) ** 0.9) / 255,
  sCurve(0.85),
  sCurve(1.1),
];
const [PLAIN, SOFT] = CURVES as [(light: number) => number, (light: number) => number];

/** What a frame's marked exposure is off by, stops: half a pair's error budget in squares. */
const EXPOSURE_ERROR = 0.05 / Math.SQRT2;

const PIXELS = 64;
const NOISE = 1.2;

interface Made {
  readonly count?: number;
  readonly step?: number;
  readonly places?: number;
  /** Standard deviation of the true exposures about the given ones, stops. */
  readonly strays?: number;
}

/**
 * A bracket of a made scene over nine stops, whose true exposures stray from the given ones. Codes are means over pixels
 * with noise, each rounded; their stated error is that which flat blocks of a picture get.
 */
function bracket(
  curve: (light: number) => number,
  seed: number,
  { count = 7, step = 1, places: wanted = 80, strays = 0 }: Made = {},
): ResponseInput {
  const source = random(seed);
  const exposures = Array.from({ length: count }, (_, i) => (i - (count - 1) / 2) * step);
  const given = exposures.map((exposure) => exposure + strays * normal(source));
  const [black, white] = [255 * curve(0), 255 * curve(1e6)];
  const places = Array.from({ length: wanted }, () => {
    const light = 0.18 * 2 ** (9 * source() - 4.5);
    return given.flatMap((exposure, frame): ResponseObservation[] => {
      const shown = 255 * curve(light * 2 ** exposure);
      if (shown < black + 3 * NOISE || shown > white - 3 * NOISE) return [];
      let sum = 0;
      for (let i = 0; i < PIXELS; i++) sum += Math.round(shown + NOISE * normal(source));
      const codeError = Math.hypot(0.1, NOISE / Math.sqrt(PIXELS), 0.1 * NOISE);
      return [{ frame, code: sum / PIXELS, codeError }];
    });
  });
  return {
    places,
    exposures,
    exposureError: EXPOSURE_ERROR,
    encodedStops: (code) => Math.log2(SRGB.linearise(code / 255)),
    middleCode: 255 * SRGB.encode(0.18),
    invert,
  };
}

function trueStops(curve: (light: number) => number, code: number): number {
  let [low, high] = [-16, 12];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (255 * curve(0.18 * 2 ** middle) < code) low = middle;
    else high = middle;
  }
  return low;
}

describe("recoverResponse", () => {
  describe("covers the truth at its stated rate", () => {
    /**
     * A curve's errors go together: its scale is off by what the exposures are, so that one bracket counts as little more
     * than one trial, however many codes it has. The share of codes is taken bracket by bracket, and may miss the normal
     * distribution's by so many of a binomial's deviations; seeds are fixed.
     */
    const DEVIATIONS = 2;
    const SEEDS = 5;
    const [ONE_SIGMA, TWO_SIGMA] = [0.6827, 0.9545];
    const least = (share: number): number =>
      share - DEVIATIONS * Math.sqrt((share * (1 - share)) / (SEEDS * CURVES.length));

    function coverage(made: Made): { within: number; withinTwo: number; stated: number } {
      const shares: [one: number, two: number][] = [];
      let [squares, stated] = [0, 0];
      for (const [i, curve] of CURVES.entries()) {
        const truths = Array.from({ length: 256 }, (_, code) => trueStops(curve, code));
        const truth = (code: number): number => (truths[code] as number) - (truths[118] as number);
        for (let seed = 0; seed < SEEDS; seed++) {
          const { points } = recoverResponse(bracket(curve, 7919 * (seed + 1) + 104729 * i, made));
          const middle = points.find(({ code }) => code === 118)?.stops ?? Number.NaN;
          const ratios = points.flatMap(({ code, stops, uncertainty }) => {
            if (code < 20 || code > 235 || code === 118) return [];
            const error = Math.abs(stops - middle - truth(code));
            squares += error ** 2;
            stated += uncertainty ** 2;
            return [error / uncertainty];
          });
          const share = (most: number): number =>
            ratios.filter((ratio) => ratio <= most).length / ratios.length;
          shares.push([share(1), share(2)]);
        }
      }
      const mean = (values: readonly number[]): number =>
        values.reduce((sum, value) => sum + value, 0) / values.length;
      return {
        within: mean(shares.map(([one]) => one)),
        withinTwo: mean(shares.map(([, two]) => two)),
        stated: Math.sqrt(stated / squares),
      };
    }

    test.each([
      [3, 1],
      [5, 1],
      [9, 1],
      [7, 1 / 3],
      [4, 2],
    ])(
      "by %d frames in steps of %d stops whose exposures stray as far as they are said to",
      (count, step) => {
        const { within, withinTwo, stated } = coverage({ count, step, strays: EXPOSURE_ERROR });
        expect(within).toBeGreaterThan(least(ONE_SIGMA));
        expect(withinTwo).toBeGreaterThan(least(TWO_SIGMA));
        // Nor does it state more than half too much; by two stops a hard knee would err more than these curves do.
        expect(stated).toBeLessThan(step > 1 ? 2 : 1.5);
      },
      60_000,
    );

    test("by exposures that stray twice as far as they are said to, most of the time", () => {
      const strays = 2 * EXPOSURE_ERROR;
      const { within, withinTwo } = coverage({ count: 9, strays });
      // Nine offsets tell their own error to a quarter, and what is stated holds it down: four fifths of the stated rate.
      expect(within).toBeGreaterThan(0.8 * ONE_SIGMA);
      expect(withinTwo).toBeGreaterThan(0.8 * TWO_SIGMA);
    }, 60_000);
  });

  test("rises even when the frames contradict each other", () => {
    const input = bracket(PLAIN, 5, { strays: 0.6 });
    const { points } = recoverResponse(input);
    expect(points.length).toBeGreaterThan(150);
    for (const [i, { stops }] of points.slice(1).entries()) {
      expect(stops).toBeGreaterThan(points[i]?.stops as number);
    }
  });

  test("finds by how much a frame strays", () => {
    const input = bracket(SOFT, 7);
    const exposures = input.exposures.map((exposure, frame) => exposure - (frame === 3 ? 0.5 : 0));
    const { frames } = recoverResponse({ ...input, exposures });
    expect(frames[3]?.residual).toBeGreaterThan(0.35);
    expect(frames[3]?.offset).toBeGreaterThan(0);
  });

  test("is zero at its middle", () => {
    const { points } = recoverResponse({ ...bracket(PLAIN, 9), middleCode: 118 });
    expect(points.find(({ code }) => code === 118)?.stops).toBeCloseTo(0, 9);
  });

  test("says less of steps of three stops than of one", () => {
    const input = bracket(PLAIN, 11);
    const wide = [0, 3, 6];
    const places = input.places.map((seen) =>
      seen.flatMap((one) =>
        wide.includes(one.frame) ? [{ ...one, frame: wide.indexOf(one.frame) }] : [],
      ),
    );
    const few = recoverResponse({ ...input, places, exposures: [-3, 0, 3] });
    expect(few.uncertainty).toBeGreaterThan(2 * recoverResponse(input).uncertainty);
  });

  test.each([[[]], [[[{ frame: 0, code: 100, codeError: 0.1 }]]]])("throws for %j", (places) => {
    const input = bracket(PLAIN, 1);
    expect(() => recoverResponse({ ...input, places })).toThrow(
      expect.objectContaining({ code: "TONE_EMPTY_INPUT" }),
    );
  });
});
