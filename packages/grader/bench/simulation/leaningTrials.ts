import { leaningOf } from "../../src/classes/progress/leaning.ts";
import type { ProgressFrame } from "../../src/classes/progress/progressFrame.ts";
import { type Random, seededRandom } from "./random.ts";

/** What is true of a student's errors. */
type PlantedLeaning = "none" | "all" | "dark";

/** How often a habit of one side is named, by what is true of the student. Shares are in [0, 1]. */
export type LeaningTrials = Readonly<Record<PlantedLeaning, number>>;

const PLANTED: readonly PlantedLeaning[] = ["none", "all", "dark"];

/** Placements of a term's exercises, in turn: two of five are dark. */
const PLACES = [-2, 1.5, 0, -1.5, 1];

const TOLERANCE = 1 / 3;

/**
 * Tries the search for leanings on students who lean and on students who do not. Those who do not miss every exercise, each
 * to a side of its own: the hardest to leave alone.
 *
 * @param students - of each kind
 * @param exercises - that each handed in
 */
export function leaningTrials(students: number, exercises: number, seed: number): LeaningTrials {
  const random = seededRandom(seed);
  const share = (planted: PlantedLeaning): number => {
    const named = Array.from({ length: students }, () => isNamed(planted, exercises, random));
    return named.filter(Boolean).length / students;
  };
  const [none, all, dark] = PLANTED.map(share) as [number, number, number];
  return { none, all, dark };
}

function isNamed(planted: PlantedLeaning, count: number, random: Random): boolean {
  const ids = Array.from({ length: count }, (_, i) => `week-${i + 1}`);
  const frames = ids.flatMap((exercise, i) => {
    const placeStops = PLACES[i % PLACES.length] as number;
    const evening = errorOf(planted, placeStops, random);
    return [1, 2].map((n): ProgressFrame => {
      const errorStops = evening + random.normal(0.15);
      const missed = Math.abs(errorStops) > TOLERANCE;
      const verdict = missed ? (errorStops > 0 ? "over" : "under") : "within";
      const file = `${exercise}/${n}.jpg`;
      const cause = missed ? "not-known" : null;
      return {
        ...{ student: "S01", exercise, task: "task", file, placeStops, verdict, errorStops },
        ...{ bound: null, cause },
      };
    });
  });
  return leaningOf(frames, ids)?.habit === true;
}

function errorOf(planted: PlantedLeaning, placeStops: number, random: Random): number {
  switch (planted) {
    case "none":
      return random.chance(0.5) ? 0.8 : -0.8;
    case "all":
      return -0.7 + random.normal(0.2);
    case "dark":
      return placeStops < 0 ? -placeStops * 0.8 + random.normal(0.2) : random.normal(0.15);
  }
}
