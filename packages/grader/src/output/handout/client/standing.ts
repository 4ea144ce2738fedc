import type { Exercise, ExerciseTask } from "../exercise.ts";
import type { ChosenFrame } from "./chosenFrame.ts";
import { type FileCheck, fileChecks } from "./fileChecks.ts";

/** How far a student is with an exercise. */
interface Standing {
  /** What it still waits for, in sentences. */
  readonly open: readonly string[];
  /** Of the pictures that do not count; null where all do. */
  readonly left: string | null;
}

/**
 * What an exercise still waits for.
 *
 * @param seenBefore - whether a frame's file was chosen before it
 * @param code - the student's
 */
export function standing(
  { tasks, asksCode }: Exercise,
  frames: readonly ChosenFrame[],
  seenBefore: (frame: ChosenFrame) => boolean,
  code: string,
): Standing {
  const checked = frames.map((frame) => ({
    frame,
    checks: frame.graded ? fileChecks(frame.graded.row, seenBefore(frame)) : null,
  }));
  const open = tasks.flatMap((task) =>
    missingOf(
      task,
      checked.filter(({ frame }) => frame.task === task),
    ),
  );
  const uncounted = checked.filter(({ checks }) => checks && !counts(checks)).length;
  return {
    open: asksCode && code === "" ? [...open, "your code"] : open,
    left:
      uncounted === 0
        ? null
        : `${uncounted === 1 ? "One picture does" : `${uncounted} pictures do`} not count as ${uncounted === 1 ? "it is" : "they are"}: see beside ${uncounted === 1 ? "it" : "them"} why.`,
  };
}

interface CheckedFrame {
  readonly frame: ChosenFrame;
  /** Null while it is at work. */
  readonly checks: readonly FileCheck[] | null;
}

function counts(checks: readonly FileCheck[]): boolean {
  return checks.every((check) => check.counts);
}

function missingOf(task: ExerciseTask, own: readonly CheckedFrame[]): string[] {
  if (own.some(({ checks }) => checks === null)) return [`${task.title}: being measured`];
  const counting = own.filter(({ checks }) => checks && counts(checks));
  const unmarked = counting.find(
    ({ frame, checks }) =>
      task.regionOpen &&
      frame.region === null &&
      !checks?.some(({ code }) => code === "unreadable"),
  );
  if (unmarked) return [`${task.title}: press on the subject of ${unmarked.frame.file.name}`];
  const left = (task.frames ?? 1) - counting.length;
  if (left <= 0) return [];
  const which = own.length > counting.length ? "original picture" : "picture";
  const settings = own.length > counting.length ? " with its settings" : "";
  if (left > 1) return [`${task.title}: ${left} ${which}s${settings}`];
  return [`${task.title}: ${which === "picture" ? "a" : "an"} ${which}${settings}`];
}
