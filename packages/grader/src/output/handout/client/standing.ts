import type { Exercise, ExerciseTask } from "../exercise.ts";
import type { ChosenFrame } from "./chosenFrame.ts";
import { type FileCheck, fileChecks } from "./fileChecks.ts";

/** How far a student is with an exercise. */
interface Standing {
  /** What it still waits for, in sentences. */
  readonly open: readonly string[];
  /** Of the pictures that do not count, and of those that are more than was asked for; in sentences. */
  readonly left: readonly string[];
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
  const surplus = tasks.flatMap((task) =>
    surplusOf(
      task,
      checked.filter(({ frame }) => frame.task === task),
    ),
  );
  const uncounted = checked.filter(({ checks }) => checks && !counts(checks)).length;
  return {
    open: asksCode && code === "" ? [...open, "your code"] : open,
    left: [
      ...surplus,
      ...(uncounted === 0
        ? []
        : [
            `${uncounted === 1 ? "One picture does" : `${uncounted} pictures do`} not count as ${uncounted === 1 ? "it is" : "they are"}: see beside ${uncounted === 1 ? "it" : "them"} why.`,
          ]),
    ],
  };
}

/** A teacher who asked for a number of pictures marks no more of them. */
function surplusOf({ title, frames }: ExerciseTask, own: readonly CheckedFrame[]): string[] {
  const chosen = own.filter(({ checks }) => checks && counts(checks)).length;
  if (frames === null || chosen <= frames) return [];
  return [
    `${title}: ${frames === 1 ? "one picture was" : `${frames} pictures were`} asked for, and ${chosen} are here. Keep your best, and remove the others.`,
  ];
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
