import { median } from "@tonefall/tone-core";
import type { CauseCode } from "../../model/cause.ts";
import { type Leaning, leaningOf } from "./leaning.ts";
import { type MissTrend, missTrend } from "./missTrend.ts";
import { isJudged, isMiss, type ProgressFrame } from "./progressFrame.ts";
import { leadingCause, type RecurringCause, recurringCause } from "./recurringCause.ts";
import { type Improvement, whatImproved } from "./whatImproved.ts";

/** What one student did in one exercise. */
export interface StudentExercise {
  /** The exercise's ID. */
  readonly exercise: string;
  /** Frames that came with it. */
  readonly frames: number;
  /** Of those, frames that were held. */
  readonly held: number;
  /** Of those, frames that missed. */
  readonly missed: number;
  /** Median of the signed errors, stops; null where none was judged. */
  readonly errorStops: number | null;
  /** Median size of the miss, stops, and its spread; null where none was judged. */
  readonly missStops: {
    /** The middle of the sizes, stops. */
    readonly median: number;
    /** The smallest, stops. */
    readonly least: number;
    /** The largest, stops. */
    readonly most: number;
  } | null;
  /** The cause of more than half of the misses; null where none is. */
  readonly cause: CauseCode | null;
}

/** One student along the term. */
export interface StudentProgress {
  /** The code. */
  readonly student: string;
  /** One for each exercise so far, in their order; without frames where nothing came. */
  readonly exercises: readonly StudentExercise[];
  /** Whether the misses get smaller. */
  readonly trend: MissTrend;
  /** Null where no cause recurs. */
  readonly recurring: RecurringCause | null;
  /** Null where the errors keep to no side. */
  readonly leaning: Leaning | null;
  /** What went better than before; may be empty. */
  readonly improved: readonly Improvement[];
}

/**
 * One student's progress.
 *
 * @param student - the code
 * @param frames - of that student alone, in any order
 * @param exercises - all exercises so far, in their order
 */
export function studentProgress(
  student: string,
  frames: readonly ProgressFrame[],
  exercises: readonly string[],
): StudentProgress {
  const ordered = exercises.flatMap((exercise) =>
    frames.filter((frame) => frame.exercise === exercise),
  );
  const sizes = (exercise: string): number[] =>
    ordered
      .filter((frame) => frame.exercise === exercise)
      .filter(isJudged)
      .map(({ errorStops }) => Math.abs(errorStops));
  return {
    student,
    exercises: exercises.map((exercise) =>
      studentExercise(
        exercise,
        ordered.filter((frame) => frame.exercise === exercise),
      ),
    ),
    trend: missTrend(exercises.map((exercise, i) => ({ place: i + 1, sizes: sizes(exercise) }))),
    recurring: recurringCause(ordered, exercises),
    leaning: leaningOf(ordered, exercises),
    improved: whatImproved(ordered, exercises),
  };
}

function studentExercise(exercise: string, frames: readonly ProgressFrame[]): StudentExercise {
  const judged = frames.filter(isJudged);
  const errors = judged.map(({ errorStops }) => errorStops);
  const sizes = errors.map(Math.abs);
  return {
    exercise,
    frames: frames.length,
    held: judged.filter((frame) => !isMiss(frame)).length,
    missed: judged.filter(isMiss).length,
    errorStops: errors.length > 0 ? median(errors) : null,
    missStops:
      sizes.length > 0
        ? { median: median(sizes), least: Math.min(...sizes), most: Math.max(...sizes) }
        : null,
    cause: leadingCause(frames),
  };
}
