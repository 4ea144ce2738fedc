import { median } from "@tonefall/tone-core";
import { rareScore } from "../../src/classes/progress/kendall.ts";
import {
  type PlacedValue,
  pairSlopes,
  slopeInterval,
} from "../../src/classes/progress/pairSlopes.ts";
import { seededRandom } from "./random.ts";

/* Does the interval of a robust slope hold the true slope as often as it says, and would a bootstrap do better? */

/** Terms for each row. */
export const TERMS = 500;
const RESAMPLES = 199;

/** Change of the miss from one exercise to the next, stops. */
const SLOPE = -0.15;

/** Scatter of the evenings around the line, stops. */
const SCATTER = 0.3;

const random = seededRandom(11);

/** A normal deviate. */
function normal(): number {
  return random.normal(1);
}

/** A deviate of Student's law with three degrees of freedom: wild evenings. */
function heavy(): number {
  const squares = normal() ** 2 + normal() ** 2 + normal() ** 2;
  return normal() / Math.sqrt(squares / 3);
}

function bootstrap(points: readonly PlacedValue[]): { from: number; to: number } {
  const slopes: number[] = [];
  while (slopes.length < RESAMPLES) {
    const again = points.map(() => random.pick(points));
    const pairs = pairSlopes(again);
    if (pairs.length > 0) slopes.push(median(pairs));
  }
  slopes.sort((a, b) => a - b);
  const beyond = Math.floor(0.05 * (RESAMPLES + 1)) - 1;
  return { from: slopes[beyond] as number, to: slopes[RESAMPLES - 1 - beyond] as number };
}

function coverage(count: number, deviate: () => number): readonly string[] {
  const score = rareScore(count) as number;
  let [exact, booted, exactWidth, bootedWidth] = [0, 0, 0, 0];
  for (let term = 0; term < TERMS; term++) {
    const points = Array.from(
      { length: count },
      (_, place): PlacedValue => [place, SLOPE * place + SCATTER * deviate()],
    );
    const [own, other] = [slopeInterval(pairSlopes(points), score), bootstrap(points)];
    if (own.from <= SLOPE && SLOPE <= own.to) exact++;
    if (other.from <= SLOPE && SLOPE <= other.to) booted++;
    exactWidth += (own.to - own.from) / TERMS;
    bootedWidth += (other.to - other.from) / TERMS;
  }
  const percent = (hits: number): string => `${((100 * hits) / TERMS).toFixed(1)} %`;
  return [percent(exact), exactWidth.toFixed(2), percent(booted), bootedWidth.toFixed(2)];
}

/** One row for each number of exercises and law of the scatter: how often each interval holds the true slope, and how wide it is. */
export function slopeCoverage(): readonly (readonly string[])[] {
  return [4, 5, 6, 8, 12].flatMap((count) => [
    [`${count}, normal`, ...coverage(count, normal)],
    [`${count}, heavy tails`, ...coverage(count, heavy)],
  ]);
}
