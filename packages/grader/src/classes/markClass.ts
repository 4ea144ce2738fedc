import type { Shard } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { MARKED_VERSION, type MarkedClass } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import type { RunOptions } from "../run/gradeFrames.ts";
import type { ReadyClass, ReadyExercise } from "./classFile.ts";
import { fileRecords } from "./fileRecords.ts";
import { findHandIns } from "./findHandIns.ts";
import { blockOf, gradeHandIns } from "./gradeHandIns.ts";
import type { FoundHandIns, HandIn } from "./handIn.ts";
import { markExercise } from "./markExercise.ts";
import { type RecordedFile, readMarkRecord, recordAfter, recordPath } from "./markRecord.ts";
import { readClass } from "./readClass.ts";
import { readOverrides } from "./readOverrides.ts";

/** How a class is marked. */
export interface MarkOptions
  extends Omit<RunOptions, "voice" | "look" | "likeness" | "histograms" | "meter" | "name"> {
  /**
   * IDs of the exercises to mark.
   * @default every exercise for which something was handed in
   */
  readonly exercises?: readonly string[];
  /**
   * Grade a part of the frames into the memory; no exercise is marked.
   * @default all frames
   */
  readonly shard?: Shard;
  /**
   * Take hand-ins that changed since they were marked as they are now.
   * @default false
   */
  readonly acceptChanges?: boolean;
  /**
   * Passes the graded rows on, one by one, as they come: to show progress.
   * @default nobody sees them
   */
  readonly pass?: (rows: AsyncIterable<FrameResult>, total: number) => AsyncIterable<FrameResult>;
}

/** A marked class, and what belongs to it beside the results. */
export interface Marking {
  /** What results show. */
  readonly marked: MarkedClass;
  /** The files, with the paths that open them. */
  readonly found: FoundHandIns;
  /** What the record of marking should hold from now on. */
  readonly record: readonly RecordedFile[];
  /** Earlier exercises that were handed in and never marked, so that nothing was compared with them. */
  readonly notCompared: readonly string[];
  /** Lines of the record that could not be read: what they held counts as never marked. */
  readonly damaged: number;
  /** The class as its file has it. */
  readonly ready: ReadyClass;
}

/**
 * Marks what a class handed in: grades every frame in one run, and says of each student and task what there is, where its tone
 * fell, which level that suggests, and what the teacher should look at. Nothing is written.
 *
 * @param classFile - path of the class file, or a class that was read
 * @throws {@link GraderError} `bad-class` for a wrong class file or an exercise that it does not have; `no-frames` where there
 *   is no folder of hand-ins
 *
 * @example
 * ```ts
 * const { marked } = await markClass("class.yaml", { exercises: ["week1"] });
 * ```
 */
export async function markClass(
  classFile: string | ReadyClass,
  options: MarkOptions = {},
): Promise<Marking> {
  const { exercises: wanted, acceptChanges = false, shard, pass = passOn, ...run } = options;
  const ready = typeof classFile === "string" ? await readClass(classFile) : classFile;
  const overrides = await readOverrides(ready);
  const record = await readMarkRecord(recordPath(ready.path));
  const found = await findHandIns(ready);
  const exercises = exercisesToMark(ready, found, wanted);
  const work = exercises.flatMap((exercise) =>
    found.handIns.filter((handIn) => handIn.exercise === exercise.id),
  );
  const all = work.filter(counts);
  const counted = shard ? await blockOf(all, shard) : all;
  const rows = await gradeHandIns(ready, found.slips, counted, run, pass);
  const files = await fileRecords(work, rows, run.memory ?? []);
  const context = { ready, overrides, found, rows, files, before: record.entries };
  const marked = shard ? [] : exercises.map((exercise) => markExercise(exercise, context));
  return {
    marked: {
      schemaVersion: MARKED_VERSION,
      class: ready.name,
      students: ready.students.map(({ code }) => code),
      levels: ready.levels.map(({ name }) => name),
      exercises: marked,
    },
    found,
    record: shard
      ? record.entries
      : recordAfter(
          record.entries,
          [...files.values()],
          exercises.map(({ id }) => id),
          { accept: acceptChanges },
        ),
    notCompared: neverMarked(ready, found, exercises, record.entries),
    damaged: record.damaged,
    ready,
  };
}

/** Exercises before the last marked one for which something was handed in and of which neither this run nor the record knows. */
function neverMarked(
  { exercises: all }: ReadyClass,
  { handIns }: FoundHandIns,
  exercises: readonly ReadyExercise[],
  before: readonly RecordedFile[],
): readonly string[] {
  const last = exercises.at(-1);
  const known = new Set([...exercises.map(({ id }) => id), ...before.map((one) => one.exercise)]);
  const begun = new Set(handIns.map(({ exercise }) => exercise));
  const earlier = last ? all.slice(0, all.indexOf(last)) : [];
  return earlier.map(({ id }) => id).filter((id) => begun.has(id) && !known.has(id));
}

function passOn(rows: AsyncIterable<FrameResult>): AsyncIterable<FrameResult> {
  return rows;
}

/** Whether a hand-in is graded: it answers a task that had room for it. */
function counts({ task, surplus }: HandIn): boolean {
  return task !== null && !surplus;
}

function exercisesToMark(
  ready: ReadyClass,
  { handIns, slips }: FoundHandIns,
  wanted: readonly string[] | undefined,
): readonly ReadyExercise[] {
  const unknown = wanted?.find((id) => !ready.exercises.some((exercise) => exercise.id === id));
  if (unknown !== undefined) {
    const ids = ready.exercises.map(({ id }) => id).join(", ");
    throw new GraderError(
      "bad-class",
      `Expected an exercise of ${ready.path} (${ids}) but received "${unknown}"`,
    );
  }
  if (wanted) return ready.exercises.filter(({ id }) => wanted.includes(id));
  const begun = new Set([...handIns, ...slips].map(({ exercise }) => exercise));
  return ready.exercises.filter(({ id }) => begun.has(id));
}
