import { median } from "@tonefall/tone-core";
import { rareScore } from "./kendall.ts";
import { pairSlopes, slopeInterval } from "./pairSlopes.ts";

/** Sizes of the misses of one exercise. */
export interface ExerciseMisses {
  /** Which exercise it is, counted along the term. */
  readonly place: number;
  /** Distance of each frame from its placement, stops, 0 or more; of frames that were judged. */
  readonly sizes: readonly number[];
}

/** What the misses do along the term. */
export type TrendKind = "improves" | "worsens" | "no-clear-change" | "cannot-tell-yet";

/**
 * How the size of the miss changes along the term. A tone that moves from 1 1/2 stops too light to 1 stop too dark has
 * improved: the side does not matter.
 */
export interface MissTrend {
  /** Branch on this. */
  readonly kind: TrendKind;
  /** Exercises that it rests on. */
  readonly exercises: number;
  /** Frames that it rests on. */
  readonly frames: number;
  /** Whether each exercise missed by less, or by more, than the one before: a fact, which alone is no trend. */
  readonly eachTime: "smaller" | "larger" | null;
  /** Change of the size of the miss from one exercise to the next, stops; negative is better. Null where it cannot be told. */
  readonly stopsPerExercise: {
    /** The robust slope. */
    readonly estimate: number;
    /** Its interval: with nothing changing, each end is on the wrong side in one of twenty cases at most. */
    readonly from: number;
    /** The upper end. */
    readonly to: number;
  } | null;
  /** Size of the miss on the line through the first exercise and the last, stops; null where it cannot be told. */
  readonly fitted: {
    /** At the first exercise. */
    readonly first: number;
    /** At the last exercise. */
    readonly last: number;
  } | null;
}

/** Frames below which no trend is named. */
export const LEAST_FRAMES = 6;

/** The fewest exercises that can show a trend: with three, every order comes up by chance one time in six. */
export const LEAST_EXERCISES = 4;

/** A change along the term that is smaller, stops, is none worth naming: half of the usual tolerance. */
const LEAST_CHANGE = 1 / 6;

/**
 * Whether the misses of a student, or of a class, grow smaller along the term.
 *
 * An exercise counts once, by the median of its frames: frames of one evening share light, camera and mood, so they are
 * no independent witnesses. The robust slope (Theil and Sen) and its interval rest on the order of those medians alone, so
 * one wild evening moves neither, and the interval is exact for any law of the errors.
 *
 * @param exercises - in any order, one entry each; those without a frame are left out
 */
export function missTrend(exercises: readonly ExerciseMisses[]): MissTrend {
  const points = exercises
    .filter(({ sizes }) => sizes.length > 0)
    .map(({ place, sizes }) => [place, median(sizes)] as const)
    .sort(([a], [b]) => a - b);
  const frames = exercises.reduce((sum, { sizes }) => sum + sizes.length, 0);
  const eachTime = strictly(points.map(([, size]) => size));
  const counts = { exercises: points.length, frames, eachTime };
  const score = rareScore(points.length);
  if (score === null || points.length < LEAST_EXERCISES || frames < LEAST_FRAMES) {
    return { kind: "cannot-tell-yet", ...counts, stopsPerExercise: null, fitted: null };
  }
  const slopes = pairSlopes(points);
  const estimate = median(slopes);
  const interval = slopeInterval(slopes, score);
  const level = median(points.map(([place, size]) => size - estimate * place));
  const [first, last] = [points[0]?.[0] as number, points.at(-1)?.[0] as number];
  const fitted = {
    first: Math.max(0, level + estimate * first),
    last: Math.max(0, level + estimate * last),
  };
  const isWorthNaming = Math.abs(estimate * (last - first)) >= LEAST_CHANGE;
  const kind =
    isWorthNaming && interval.to < 0
      ? "improves"
      : isWorthNaming && interval.from > 0
        ? "worsens"
        : "no-clear-change";
  return { kind, ...counts, stopsPerExercise: { estimate, ...interval }, fitted };
}

/** Exercises below which nothing is said of each time. */
const LEAST_STEPS = 3;

function strictly(sizes: readonly number[]): MissTrend["eachTime"] {
  const steps = sizes.slice(1).map((size, i) => size - (sizes[i] as number));
  if (sizes.length < LEAST_STEPS) return null;
  if (steps.every((step) => step < 0)) return "smaller";
  return steps.every((step) => step > 0) ? "larger" : null;
}
