import picomatch from "picomatch";
import { readyBrief } from "../brief/brief.ts";
import { cautionsFor } from "../judge/feedback/cautions.ts";
import type { Shard } from "../model/checkResult.ts";
import { decidedError } from "../model/decidedError.ts";
import { GraderError } from "../model/errors.ts";
import {
  type Flag,
  MARKED_VERSION,
  type MarkedClass,
  type MarkedExercise,
  type MarkedFrame,
  type MarkedRow,
  type MarkedSummary,
  type MarkedTask,
} from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import { explain } from "../run/explain.ts";
import { gradeFrames, type RunOptions } from "../run/gradeFrames.ts";
import { hashOf } from "../run/memory/contentOf.ts";
import { shardBlock } from "../run/shardBlock.ts";
import type { ReadyClass, ReadyExercise, ReadyTask } from "./classFile.ts";
import { findCopies } from "./copies.ts";
import { findHandIns } from "./findHandIns.ts";
import { cameraOf, frameFlags, type UsualSoftware, usualSoftware } from "./frameFlags.ts";
import type { FoundHandIns, HandIn } from "./handIn.ts";
import { type ClockDoubts, clockDoubts, clockText, latenessOf } from "./lateness.ts";
import { levelOfFrame, levelOfTask, withOverride } from "./levelOf.ts";
import { type RecordedFile, readMarkRecord, recordAfter, recordPath } from "./markRecord.ts";
import { readClass } from "./readClass.ts";
import { type Overrides, readOverrides } from "./readOverrides.ts";

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
  const { from, to } = shard ? shardBlock(all.length, shard) : { from: 0, to: all.length };
  const counted = all.slice(from, to);
  const rows = await gradedRows(ready, counted, run, pass);
  const files = await hashed(work, rows);
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
    ready,
  };
}

function passOn(rows: AsyncIterable<FrameResult>): AsyncIterable<FrameResult> {
  return rows;
}

/** What every exercise is marked from. */
interface MarkContext {
  readonly ready: ReadyClass;
  readonly overrides: Overrides;
  readonly found: FoundHandIns;
  readonly rows: ReadonlyMap<HandIn, FrameResult>;
  readonly files: ReadonlyMap<HandIn, RecordedFile>;
  readonly before: readonly RecordedFile[];
}

/** Whether a hand-in is graded: it answers a task that had room for it. */
function counts({ task, surplus }: HandIn): boolean {
  return task !== null && !surplus;
}

function exercisesToMark(
  ready: ReadyClass,
  { handIns }: FoundHandIns,
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
  const begun = new Set(handIns.map(({ exercise }) => exercise));
  return ready.exercises.filter(({ id }) => begun.has(id));
}

/**
 * The rows of hand-ins. Each is explained by the same student's rows for the same exercise alone: in a flat folder other
 * students' frames lie beside it.
 */
async function gradedRows(
  ready: ReadyClass,
  handIns: readonly HandIn[],
  options: RunOptions,
  pass: NonNullable<MarkOptions["pass"]>,
): Promise<ReadonlyMap<HandIn, FrameResult>> {
  const briefs = handIns.map((handIn) => taskOf(ready, handIn).brief);
  const graded = gradeFrames(
    handIns.map(({ path }) => path),
    (_source, index) => briefs[index] ?? {},
    { ...options, likeness: true },
  );
  const rows = new Map<HandIn, FrameResult>();
  let index = 0;
  let own: { key: string; rows: FrameResult[] } = { key: "", rows: [] };
  for await (const result of pass(graded, handIns.length)) {
    const handIn = handIns[index++] as HandIn;
    const key = JSON.stringify([handIn.exercise, handIn.student]);
    if (own.key !== key) own = { key, rows: [] };
    const row = explain({ ...result, file: handIn.file }, own.rows, "student");
    own.rows.push(row);
    rows.set(handIn, row);
  }
  return rows;
}

function taskOf({ exercises }: ReadyClass, { exercise, task }: HandIn): ReadyTask {
  const tasks = exercises.find(({ id }) => id === exercise)?.tasks ?? [];
  return tasks.find(({ id }) => id === task) as ReadyTask;
}

/** Files hashed at once: most of it waits for the disk. */
const HASHED_AT_ONCE = 4;

/** Every file as the record has it; files that cannot be read are left out. */
async function hashed(
  handIns: readonly HandIn[],
  rows: ReadonlyMap<HandIn, FrameResult>,
): Promise<ReadonlyMap<HandIn, RecordedFile>> {
  const files = new Map<HandIn, RecordedFile>();
  const waiting = [...handIns];
  const hash = async (): Promise<void> => {
    for (let handIn = waiting.shift(); handIn; handIn = waiting.shift()) {
      const { exercise, student, task, file, path } = handIn;
      const sha256 = await hashOf(path).catch(() => null);
      if (sha256 === null) continue;
      const row = rows.get(handIn);
      files.set(handIn, {
        ...{ exercise, student, task, file, sha256 },
        likeness: row?.likeness ?? null,
        capturedAt: row?.exposure?.capturedAt.value ?? null,
        camera: cameraOf(row?.exposure ?? null),
      });
    }
  };
  await Promise.all(Array.from({ length: HASHED_AT_ONCE }, hash));
  return new Map(
    handIns.flatMap((handIn) => {
      const file = files.get(handIn);
      return file ? [[handIn, file] as const] : [];
    }),
  );
}

function markExercise(exercise: ReadyExercise, context: MarkContext): MarkedExercise {
  const { ready, found } = context;
  const handIns = [...found.handIns].filter((handIn) => handIn.exercise === exercise.id);
  const timed = handIns.flatMap((handIn) => {
    const row = context.rows.get(handIn);
    return row ? [{ student: handIn.student, row }] : [];
  });
  const doubts = clockDoubts(timed);
  const rows = ready.students.flatMap(({ code }) =>
    exercise.tasks.map((task) => {
      const own = handIns.filter((one) => one.student === code && one.task === task.id);
      return markRow(exercise, task, code, own, { ...context, doubts });
    }),
  );
  const unasked = handIns
    .filter(({ task }) => task === null)
    .map(({ student, file }) => ({ student, file }));
  return {
    id: exercise.id,
    title: exercise.title,
    due: exercise.due?.text ?? null,
    tasks: exercise.tasks.map(markedTask),
    rows,
    unasked,
    flags: flagsOf(exercise, handIns, rows, { ...context, doubts }),
    strays: found.strays.map(({ code, message }) => ({ code, message })),
    summary: summaryOf(rows, unasked.length, ready),
  };
}

function markedTask({ id, title, brief, frames }: ReadyTask): MarkedTask {
  const { placement, regionText, tolerance } = readyBrief(brief);
  const words = [placement?.text ?? "", title ?? "", id];
  return {
    id,
    title,
    place: placement?.text ?? null,
    region: regionText,
    tolerance,
    frames,
    cautions: cautionsFor({ words, flashFired: false, ev100: null }),
  };
}

function markRow(
  exercise: ReadyExercise,
  task: ReadyTask,
  student: string,
  own: readonly HandIn[],
  context: MarkContext & { readonly doubts: ClockDoubts },
): MarkedRow {
  const { ready, overrides, rows, files, before } = context;
  const frames = own.flatMap((handIn): MarkedFrame[] => {
    const graded = rows.get(handIn);
    if (!graded || handIn.by === null) return [];
    const { likeness: _, ...row } = graded;
    const sha256 = files.get(handIn)?.sha256 ?? null;
    const known = before.find(
      (entry) => entry.exercise === exercise.id && entry.file === handIn.file,
    );
    return [
      {
        file: handIn.file,
        sha256,
        by: handIn.by,
        from: "picture",
        changed: known && sha256 !== null ? known.sha256 !== sha256 : null,
        late: latenessOf(row, exercise.due, context.doubts.get(student) ?? null),
        level: levelOfFrame(row, ready.levels).level,
        row,
      },
    ];
  });
  const shown = middleFrame(frames);
  const suggested = levelOfTask(frames, task.frames, ready.levels);
  return {
    student,
    task: task.id,
    frames,
    missing: task.frames - frames.length,
    surplus: own.filter(({ surplus }) => surplus).map(({ file }) => file),
    shown: shown?.file ?? null,
    verdict: shown?.row.verdict ?? null,
    error: shown?.row.error ? decidedError(shown.row.error) : null,
    cause: shown?.row.causes[0]?.code ?? null,
    level: withOverride(suggested, overrides.of(exercise.id, student, task.id)),
  };
}

/** The frame in the middle by the size of its error; of two, the one that missed by more. */
function middleFrame(frames: readonly MarkedFrame[]): MarkedFrame | null {
  const judged = frames.filter(({ row }) => row.error !== null);
  const sizeOf = ({ row }: MarkedFrame): number =>
    row.error ? Math.abs(decidedError(row.error).stops) : 0;
  const sorted = [...judged].sort((a, b) => sizeOf(a) - sizeOf(b));
  return sorted[Math.floor(sorted.length / 2)] ?? null;
}

function flagsOf(
  exercise: ReadyExercise,
  handIns: readonly HandIn[],
  rows: readonly MarkedRow[],
  context: MarkContext & { readonly doubts: ClockDoubts },
): readonly Flag[] {
  const { ready, files, before } = context;
  const place = ready.exercises.findIndex(({ id }) => id === exercise.id);
  const earlierIds = new Set(ready.exercises.slice(0, place).map(({ id }) => id));
  const inRun = [...files.values()];
  const markedNow = new Set(inRun.map((file) => file.exercise));
  const earlier = [...before.filter((file) => !markedNow.has(file.exercise)), ...inRun].filter(
    (file) => earlierIds.has(file.exercise),
  );
  const own = inRun.filter((file) => file.exercise === exercise.id);
  const usual = usualSoftware([...context.rows.values()]);
  return [
    ...findCopies(own, earlier),
    ...otherExercise(exercise, handIns, ready),
    ...changedFlags(exercise, rows, own, before),
    ...clockFlags(context.doubts, rows),
    ...eachFrame(rows, usual),
  ];
}

function eachFrame(rows: readonly MarkedRow[], usual: UsualSoftware): readonly Flag[] {
  return rows.flatMap(({ student, task, frames }) =>
    frames.flatMap(({ file, row }) => frameFlags({ student, task, file, row }, usual)),
  );
}

/** Files whose names answer another exercise: they may lie in the wrong folder. */
function otherExercise(
  exercise: ReadyExercise,
  handIns: readonly HandIn[],
  { exercises }: ReadyClass,
): readonly Flag[] {
  const globs = exercises
    .filter(({ id }) => id !== exercise.id)
    .flatMap(({ id, tasks }) =>
      tasks.flatMap((task) =>
        task.files === null
          ? []
          : [
              {
                id,
                task: task.id,
                glob: task.files,
                fits: picomatch(task.files, { nocase: true }),
              },
            ],
      ),
    );
  return handIns.flatMap((handIn): Flag[] => {
    if (handIn.by === "files" || handIn.by === "keyword") return [];
    const name = handIn.file.slice(handIn.file.lastIndexOf("/") + 1);
    const other = globs.find(({ fits }) => fits(name));
    if (!other) return [];
    return [
      {
        code: "other-exercise",
        students: [handIn.student],
        files: [handIn.file],
        task: handIn.task,
        message: `${handIn.file} may belong to ${other.id}, whose task ${other.task} asks for such a name: move it there if so.`,
        evidence: [{ code: "glob", message: `Its name matches "${other.glob}".` }],
      },
    ];
  });
}

/** Hand-ins that are not what was marked before. */
function changedFlags(
  exercise: ReadyExercise,
  rows: readonly MarkedRow[],
  now: readonly RecordedFile[],
  before: readonly RecordedFile[],
): readonly Flag[] {
  const changed = rows.flatMap(({ student, task, frames }) =>
    frames
      .filter((frame) => frame.changed === true)
      .map(({ file, sha256 }): Flag => {
        const was = before.find((one) => one.exercise === exercise.id && one.file === file);
        const hashes = [was?.sha256, sha256].map((hash) => `${hash?.slice(0, 12)}…`);
        return {
          code: "changed-after-marking",
          students: [student],
          files: [file],
          task,
          message: `${file} has changed since it was marked; what is shown is the new file.`,
          evidence: [
            { code: "sha-256", message: `Its SHA-256 was ${hashes[0]} and is ${hashes[1]}.` },
          ],
        };
      }),
  );
  const present = new Set(now.map(({ file }) => file));
  const gone = before
    .filter((one) => one.exercise === exercise.id && !present.has(one.file))
    .map(
      ({ student, file, task, sha256 }): Flag => ({
        code: "changed-after-marking",
        students: [student],
        files: [file],
        task,
        message: `${file} was marked before and is no longer there.`,
        evidence: [{ code: "sha-256", message: `Its SHA-256 was ${sha256.slice(0, 12)}….` }],
      }),
    );
  return [...changed, ...gone];
}

function clockFlags(doubts: ClockDoubts, rows: readonly MarkedRow[]): readonly Flag[] {
  return [...doubts].map(([student, days]): Flag => {
    const own = rows.filter((row) => row.student === student);
    const files = own.flatMap(({ frames }) => frames.map(({ file }) => file));
    return {
      code: "clock-differs",
      students: [student],
      files,
      task: own.find(({ frames }) => frames.length > 0)?.task ?? null,
      message: clockText(days),
      evidence: [
        {
          code: "median",
          message: `The middle of the student's times of capture lies ${Math.abs(Math.round(days))} days from the middle of the other students'.`,
        },
      ],
    };
  });
}

function summaryOf(
  rows: readonly MarkedRow[],
  unasked: number,
  { levels }: ReadyClass,
): MarkedSummary {
  const frames = rows.flatMap((row) => row.frames);
  const count = (rows_: readonly unknown[]): number => rows_.length;
  return {
    rows: rows.length,
    frames: frames.length,
    levels: Object.fromEntries(
      levels.map(({ name }) => [name, count(rows.filter(({ level }) => level.level === name))]),
    ),
    withoutLevel: count(rows.filter(({ level }) => level.level === null)),
    missing: rows.reduce((sum, { missing }) => sum + missing, 0),
    surplus: rows.reduce((sum, { surplus }) => sum + surplus.length, unasked),
    late: count(frames.filter(({ late }) => late.late === true)),
    unreadable: count(frames.filter(({ row }) => row.failure !== null)),
  };
}
