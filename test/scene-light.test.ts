import { readFileSync } from "node:fs";
import { gradeFrame } from "@tonefall/grader";
import { beforeAll, describe, expect, test } from "vitest";
import {
  deriveSceneLight,
  type ShownLight,
} from "../packages/grader/bench/simulation/deriveSceneLight.ts";
import { MEASURED_BRACKETS } from "../packages/grader/bench/simulation/measuredBrackets.ts";
import { CURVE_FAMILIES } from "../packages/grader/bench/simulation/renderingCurve.ts";
import {
  type SceneClaim,
  type SceneCoverage,
  sceneCoverage,
} from "../packages/grader/bench/simulation/sceneCoverage.ts";
import {
  claimOf,
  type SceneTrial,
  type SceneTrialOptions,
  sceneTrials,
} from "../packages/grader/bench/simulation/sceneTrials.ts";
import { SHOULDER_STOPS, sceneLight } from "../packages/tone-core/src/index.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";

/*
 * Due are 68 and 95 %. Claims of one camera err together, so 90 cameras leave 5 points of chance; where a quarter of the
 * claims have become bounds, the numbers that stay have lost one tail.
 */
const NUMBERS = [-4, -3, -2, -1, 0, 1] as const;
const LEAST_WITHIN_ONE = 0.55;
const MOST_WITHIN_ONE = 0.86;
const LEAST_WITHIN_TWO = 0.9;

async function tried(options: Omit<SceneTrialOptions, "families">): Promise<SceneTrial[]> {
  const list: SceneTrial[] = [];
  const all = { families: CURVE_FAMILIES, ...options };
  for await (const trial of sceneTrials(all)) list.push(trial);
  return list;
}

const claimsOf = (trials: readonly SceneTrial[]): SceneClaim[] =>
  trials.map(claimOf).filter((claim) => claim !== null);

describe("a scene claim on the JPEGs of cameras whose light is known", () => {
  let claims: readonly SceneClaim[];
  let coverage: readonly SceneCoverage[];
  beforeAll(async () => {
    const trials = await tried({
      cameras: 15,
      seed: 41,
      stops: [-4, -3, -2, -1, 0, 1, 2, 3],
      basis: "scene",
    });
    claims = claimsOf(trials);
    coverage = sceneCoverage(claims, [-4, -3, -2, -1, 0, 1, 2, 3]);
  }, 240_000);

  test.each(NUMBERS)("at %s stops of light holds as often as its uncertainty says", (stops) => {
    const here = coverage.find((row) => row.stops === stops) as SceneCoverage;
    expect(here.claims).toBeGreaterThan(80);
    expect(here.numbersWithinOne).toBeGreaterThan(LEAST_WITHIN_ONE);
    expect(here.numbersWithinOne).toBeLessThan(MOST_WITHIN_ONE);
    expect(here.withinTwo).toBeGreaterThan(LEAST_WITHIN_TWO);
  });

  test("is a bound where the light is 2 stops or more over middle grey, and the bound holds", () => {
    for (const stops of [2, 3]) {
      const here = coverage.find((row) => row.stops === stops) as SceneCoverage;
      expect(here.bounds).toBeGreaterThan(0.95);
      expect(here.withinOne).toBeGreaterThan(0.9);
      expect(here.withinTwo).toBeGreaterThan(0.95);
    }
  });

  test("is wide where it has to be: a single size for every tone would not hold", () => {
    const at = (stops: number): number =>
      Math.max(
        ...claims.filter(({ light }) => Math.abs(light - stops) < 0.5).map((c) => c.uncertainty),
      );
    expect(at(-4)).toBeGreaterThan(2 * at(0));
  });
});

test("no light subject that missed is called within by an unknown curve's shoulder", async () => {
  const trials = await tried({
    cameras: 10,
    seed: 43,
    stops: [1.5, 2, 2.5, 3],
    basis: "scene",
    over: 1.5,
  });
  const verdicts = trials.map(({ row }) => row.verdict);
  expect(verdicts.length).toBe(240);
  expect(verdicts.filter((verdict) => verdict === "within")).toEqual([]);
  expect(verdicts.filter((verdict) => verdict === "under")).toEqual([]);
  expect(verdicts.filter((verdict) => verdict === "over").length).toBeGreaterThan(40);
}, 240_000);

test("a light subject that fell where it belongs is never called lighter", async () => {
  const trials = await tried({ cameras: 5, seed: 47, stops: [1.5, 2, 2.5, 3], basis: "scene" });
  expect(trials.filter(({ row }) => row.verdict === "over")).toEqual([]);
  expect(trials.filter(({ row }) => row.verdict === "under")).toEqual([]);
}, 240_000);

describe("deriveSceneLight", () => {
  /** A rendering straight in stops, with middle grey astray by a known spread and no end. */
  const straight = (contrast: number, spread: number): ShownLight[] =>
    Array.from({ length: 40_000 }, (_, i) => {
      const light = -12 + (24 * i) / 40_000;
      // Steps of the golden ratio fill the spread evenly.
      const astray = spread * (2 * ((i * 0.618034) % 1) - 1);
      return { family: "straight", light, shown: contrast * (light + astray) };
    });

  test("finds the line again, and the spread of its zero", () => {
    const knots = deriveSceneLight(straight(1.4, 0.5), SHOULDER_STOPS);
    for (const [shown, stops, uncertainty] of knots.filter(([at]) => at <= SHOULDER_STOPS)) {
      expect(stops).toBeCloseTo(shown / 1.4, 1);
      // Of an even spread 0.68 lies between the 16th and the 84th percentile.
      expect(uncertainty).toBeCloseTo(0.68 * 0.5, 1);
    }
  });

  test("families that stand apart widen the uncertainty by more than their own spread", () => {
    const shifted = (family: string, by: number): ShownLight[] =>
      straight(1.4, 0.1).map(({ light, shown }) => ({ family, light: light + by, shown }));
    const apart = [...shifted("a", -0.3), ...shifted("b", 0), ...shifted("c", 0.3)];
    const [, , together] = deriveSceneLight(straight(1.4, 0.1), SHOULDER_STOPS)[10] ?? [];
    const [, , three] = deriveSceneLight(apart, SHOULDER_STOPS)[10] ?? [];
    expect(three).toBeGreaterThan(0.3);
    expect(three).toBeGreaterThan(3 * (together ?? 9));
  });
});

test("sceneCoverage counts numbers on both sides and bounds on one", () => {
  const claim = { light: 0, uncertainty: 1 } as const;
  const [here] = sceneCoverage(
    [
      { ...claim, stops: 0.5, bound: null },
      { ...claim, stops: -1.5, bound: null },
      { ...claim, stops: -5, bound: "at least" },
      { ...claim, stops: 1.5, bound: "at least" },
    ],
    [0],
  );
  expect(here).toEqual({
    stops: 0,
    claims: 4,
    bounds: 0.5,
    withinOne: 0.5,
    withinTwo: 1,
    numbersWithinOne: 0.5,
    numbersWithinTwo: 1,
  });
});

test("the light that real brackets show lies within two standard uncertainties, or beyond its bound", () => {
  for (const [name, points] of Object.entries(MEASURED_BRACKETS)) {
    for (const [light, shown] of points) {
      const { stops, uncertainty, bound } = sceneLight(shown);
      const beyond = (stops - light) / uncertainty;
      expect(bound ? beyond : Math.abs(beyond), `${name} at ${light}`).toBeLessThan(2);
    }
  }
});

interface BracketTruth {
  readonly frames: readonly { readonly file: string; readonly exposure_stops_rel_first: number }[];
}

/** A grid of boxes over a picture, each a twelfth of its sides. */
const GRID = 12;
const BOXES = Array.from({ length: GRID * GRID }, (_, i) => {
  const [x, y] = [(i % GRID) / GRID, Math.floor(i / GRID) / GRID];
  return `box:${x},${y},${1 / GRID},${1 / GRID}`;
});

describe.skipIf(!hasCorpus)(`real brackets${skippedBecause}`, () => {
  test("tell the differences of light that their settings made, within their uncertainty", async () => {
    const truth = JSON.parse(
      readFileSync(corpusFile("bracket/truth_bracket.json"), "utf8"),
    ) as Record<string, BracketTruth>;
    let claims = 0;
    let within = 0;
    let bounds = 0;
    let held = 0;
    for (const name of ["street_T2i", "room_T2i"]) {
      const { frames } = truth[name] as BracketTruth;
      for (const region of BOXES.filter((_, i) => i % 8 === 0)) {
        const rows = await Promise.all(
          frames.map(({ file }) =>
            gradeFrame(corpusFile(`bracket/${name}/${file}`), { place: 0, region, basis: "scene" }),
          ),
        );
        const anchor = rows.findIndex(
          ({ fall }) =>
            fall &&
            fall.bound === null &&
            Math.abs(fall.stops) < 0.4 &&
            Math.abs(fall.stops - fall.median) < 0.3,
        );
        if (anchor < 0) continue;
        for (const [i, { fall, error }] of rows.entries()) {
          if (i === anchor || !fall || !error) continue;
          const given = (at: number): number => frames[at]?.exposure_stops_rel_first as number;
          const light = (rows[anchor]?.fall?.stops as number) + given(i) - given(anchor);
          if (light < -5 || light > 4) continue;
          const beyond = (fall.stops - light) / error.uncertainty;
          if (fall.bound === "at least") {
            bounds++;
            if (beyond < 1) held++;
          } else {
            claims++;
            if (Math.abs(beyond) < 2) within++;
          }
        }
      }
    }
    expect(claims).toBeGreaterThan(10);
    expect(within / claims).toBeGreaterThan(0.85);
    expect(bounds).toBeGreaterThan(5);
    expect(held / bounds).toBeGreaterThan(0.9);
  }, 240_000);
});
