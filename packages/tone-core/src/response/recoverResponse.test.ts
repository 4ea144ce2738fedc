import { describe, expect, test } from "vitest";
import { SRGB } from "../transfer/namedTransfers.ts";
import {
  type ResponseInput,
  type ResponseObservation,
  recoverResponse,
} from "./recoverResponse.ts";

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
const CURVES = [
  (light: number) => SRGB.encode(Math.min(1, light)),
  sCurve(0.9),
  (light: number) => SRGB.encode(1 - Math.exp(-1.15 * light)),
];

/** Exposures in equal steps about 0, stops. */
const steps = (frames: number, step: number): number[] =>
  Array.from({ length: frames }, (_, i) => (i - (frames - 1) / 2) * step);

/** A bracket of a made scene, whose true exposures stray from the given ones. */
function bracket(
  curve: (light: number) => number,
  seed: number,
  strays: number,
  { exposures = steps(7, 1), seen = 120 } = {},
): ResponseInput {
  const source = random(seed);
  const given = exposures.map((exposure) => exposure + strays * normal(source));
  const places: ResponseObservation[][] = [];
  for (let i = 0; i < seen; i++) {
    const light = 0.18 * 2 ** (8 * source() - 4);
    places.push(
      given.flatMap((exposure, frame) => {
        const code = 255 * curve(light * 2 ** exposure) + 0.25 * normal(source);
        return code > 3 && code < 251 ? [{ frame, code, codeError: 0.25 }] : [];
      }),
    );
  }
  return {
    places,
    exposures,
    exposureError: 0.035,
    encodedStops: (code) => Math.log2(SRGB.linearise(code / 255)),
    middleCode: 118,
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
  /** Brackets for each form; their errors come from how their own exposures stray, so that each is one draw. */
  const DRAWS = 60;
  /** Chance leaves the shares of so many draws, and their mean squared error over the stated one, this many deviations off. */
  const CHANCE = 2.5;

  test.each([
    ["3 frames in steps of a stop", steps(3, 1)],
    ["5 frames in steps of a stop", steps(5, 1)],
    ["7 frames in steps of a third", steps(7, 1 / 3)],
    ["9 frames in steps of a stop", steps(9, 1)],
  ])(
    "%s: covers the truth at its stated rate when exposures stray as far as they are said to",
    (_name, exposures) => {
      let [within, withinTwo, squares] = [0, 0, 0];
      for (let draw = 0; draw < DRAWS; draw++) {
        const curve = CURVES[draw % CURVES.length] as (light: number) => number;
        const { points } = recoverResponse(
          bracket(curve, 31 + 7919 * draw, 0.035, { exposures, seen: 60 }),
        );
        const zero = trueStops(curve, 118);
        const errors = points
          .filter(({ code }) => code >= 20 && code <= 235 && code !== 118)
          .map(
            ({ code, stops, uncertainty }) => (stops - trueStops(curve, code) + zero) / uncertainty,
          );
        const shareWithin = (most: number): number =>
          errors.filter((error) => Math.abs(error) <= most).length / errors.length;
        within += shareWithin(1) / DRAWS;
        withinTwo += shareWithin(2) / DRAWS;
        squares += errors.reduce((sum, error) => sum + error ** 2, 0) / errors.length / DRAWS;
      }
      // A normal distribution holds 68 % and 95 %, with a mean square of 1; the stated figure may not promise more than that.
      expect(within).toBeGreaterThan(0.683 - CHANCE * Math.sqrt((0.683 * 0.317) / DRAWS));
      expect(withinTwo).toBeGreaterThan(0.954 - CHANCE * Math.sqrt((0.954 * 0.046) / DRAWS));
      expect(squares).toBeLessThan(1 + CHANCE * Math.sqrt(2 / DRAWS));
      // Nor is it so wide as to say nothing.
      expect(squares).toBeGreaterThan(0.3);
    },
    60_000,
  );

  test("rises even when the frames contradict each other", () => {
    const input = bracket(CURVES[0] as (light: number) => number, 5, 0.6);
    const { points } = recoverResponse(input);
    for (const [i, { stops }] of points.slice(1).entries()) {
      expect(stops).toBeGreaterThan(points[i]?.stops as number);
    }
  });

  test("finds by how much a frame strays", () => {
    const input = bracket(CURVES[1] as (light: number) => number, 7, 0);
    const exposures = input.exposures.map((exposure, frame) => exposure - (frame === 3 ? 0.5 : 0));
    const { frames } = recoverResponse({ ...input, exposures });
    expect(frames[3]?.residual).toBeGreaterThan(0.35);
    expect(frames[3]?.offset).toBeGreaterThan(0);
  });

  test("is zero at its middle", () => {
    const { points } = recoverResponse(bracket(CURVES[0] as (light: number) => number, 9, 0));
    expect(points.find(({ code }) => code === 118)?.stops).toBeCloseTo(0, 9);
  });

  test("says less of steps of three stops than of one", () => {
    const input = bracket(CURVES[0] as (light: number) => number, 11, 0);
    const wide = [0, 3, 6];
    const places = input.places.map((seen) =>
      seen.flatMap((one) =>
        wide.includes(one.frame) ? [{ ...one, frame: wide.indexOf(one.frame) }] : [],
      ),
    );
    const few = recoverResponse({ ...input, places, exposures: [-3, 0, 3] });
    expect(few.uncertainty).toBeGreaterThan(3 * recoverResponse(input).uncertainty);
  });

  test.each([[[]], [[[{ frame: 0, code: 100, codeError: 0.1 }]]]])("throws for %j", (places) => {
    const input = bracket(CURVES[0] as (light: number) => number, 1, 0);
    expect(() => recoverResponse({ ...input, places })).toThrow(
      expect.objectContaining({ code: "TONE_EMPTY_INPUT" }),
    );
  });
});
