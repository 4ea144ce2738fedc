import type { CauseCode } from "../../model/cause.ts";
import { isMiss, type ProgressFrame } from "./progressFrame.ts";

/** A cause that a student comes back to. */
export interface RecurringCause {
  /** The cause. */
  readonly cause: CauseCode;
  /** Exercises that it led, of the last ones looked at, in their order. */
  readonly exercises: readonly string[];
  /** How many exercises with frames were looked at: the last four, or three where there are no more. */
  readonly of: number;
  /** The frames, in their order. */
  readonly files: readonly string[];
}

/** What says nothing about the photographer's way of working. */
const NO_HABIT: ReadonlySet<CauseCode> = new Set<CauseCode>([
  "light-changed",
  "bracket-step",
  "settings-and-tones-disagree",
  "pattern-not-simulated",
  "not-known",
]);

/** Exercises that are looked at, the last ones with frames. */
const WINDOW = 4;

/** Of those, exercises that a cause leads before it is called recurring. */
const LEAST = 3;

/**
 * The cause that recurs: the one that led at least three of the last four exercises. It leads an exercise where it stands
 * behind more than half of the misses, so that of many misses some do not share a cause by accident.
 *
 * @param frames - of one student, in the order of the exercises
 * @param exercises - in their order
 */
export function recurringCause(
  frames: readonly ProgressFrame[],
  exercises: readonly string[],
): RecurringCause | null {
  const handedIn = new Set(frames.map(({ exercise }) => exercise));
  const window = exercises.filter((exercise) => handedIn.has(exercise)).slice(-WINDOW);
  const led = new Map<CauseCode, string[]>();
  for (const exercise of window) {
    const cause = leadingCause(frames.filter((frame) => frame.exercise === exercise));
    if (cause) led.set(cause, [...(led.get(cause) ?? []), exercise]);
  }
  const found = [...led].find(([, places]) => places.length >= LEAST);
  if (!found) return null;
  const [cause, places] = found;
  const files = frames
    .filter((frame) => frame.cause === cause && places.includes(frame.exercise) && isMiss(frame))
    .map(({ file }) => file);
  return { cause, exercises: places, of: window.length, files };
}

/** The cause of more than half of the misses among some frames; null where none is, or where it tells of no habit. */
export function leadingCause(frames: readonly ProgressFrame[]): CauseCode | null {
  const misses = frames.filter(isMiss);
  const counts = new Map<CauseCode, number>();
  for (const { cause } of misses) {
    if (cause && !NO_HABIT.has(cause)) counts.set(cause, (counts.get(cause) ?? 0) + 1);
  }
  const found = [...counts].find(([, count]) => 2 * count > misses.length);
  return found?.[0] ?? null;
}
