import { type Brief, readyBrief } from "../brief/brief.ts";
import { cautionsFor } from "../judge/feedback/cautions.ts";
import type { Shard } from "../model/checkResult.ts";
import { decidedError } from "../model/decidedError.ts";
import { GraderError } from "../model/errors.ts";
import {
  MARKED_VERSION,
  type MarkedClass,
  type MarkedExercise,
  type MarkedFrame,
  type MarkedRow,
  type MarkedSummary,
  type MarkedTask,
} from "../model/markedClass.ts";
import type { Note } from "../model/note.ts";
import type { FrameResult } from "../model/result.ts";
import { explain } from "../run/explain.ts";
import { gradeFrames, type RunOptions } from "../run/gradeFrames.ts";
import { hashOf } from "../run/memory/contentOf.ts";
import type { RowMemory } from "../run/memory/rowMemory.ts";
import { shardBlock, weightsOf } from "../run/shardBlock.ts";
import type { ReadyClass, ReadyExercise, ReadyTask } from "./classFile.ts";
import { exerciseFlags } from "./exerciseFlags.ts";
import { findHandIns } from "./findHandIns.ts";
import { cameraOf } from "./frameFlags.ts";
import type { FoundHandIns, HandedSlip, HandIn } from "./handIn.ts";
import { type ClockDoubts, clockDoubts, latenessOf } from "./lateness.ts";
import { levelOfFrame, levelOfTask, withOverride } from "./levelOf.ts";
import { type RecordedFile, readMarkRecord, recordAfter, recordPath } from "./markRecord.ts";
import { readClass } from "./readClass.ts";
import { type Overrides, readOverrides } from "./readOverrides.ts";
import { rowOfSlip, slipFramesOf } from "./slipFrames.ts";
import { regionOfSlip } from "./slipRegions.ts";

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
  const rows = await gradedRows(ready, found.slips, counted, run, pass);
  const files = await hashed(work, rows, run.memory ?? []);
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

/**
 * The rows of hand-ins. Each is explained by the same student's rows for the same exercise alone: in a flat folder other
 * students' frames lie beside it.
 */
async function gradedRows(
  ready: ReadyClass,
  slips: readonly HandedSlip[],
  handIns: readonly HandIn[],
  options: RunOptions,
  pass: NonNullable<MarkOptions["pass"]>,
): Promise<ReadonlyMap<HandIn, FrameResult>> {
  const briefs: Brief[] = [];
  for (const handIn of handIns) {
    const task = taskOf(ready, handIn);
    const region = await regionOfSlip(handIn, task, slips);
    briefs.push(region === null ? task.brief : { ...task.brief, region });
  }
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
    const row = explain(withoutPath(result, handIn), own.rows, "student");
    own.rows.push(row);
    rows.set(handIn, row);
  }
  return rows;
}

/** The hand-ins of one part of a run that is split. */
async function blockOf(handIns: readonly HandIn[], shard: Shard): Promise<readonly HandIn[]> {
  const { from, to } = shardBlock(await weightsOf(handIns.map(({ path }) => path)), shard);
  return handIns.slice(from, to);
}

/** A row that names its file as results show it: the path that opens it may hold a person's name. */
function withoutPath(row: FrameResult, { path, file }: HandIn): FrameResult {
  const shown = (note: Note): Note => ({
    ...note,
    message: note.message.replaceAll(path, file),
  });
  return {
    ...row,
    file,
    notes: row.notes.map(shown),
    failure: row.failure && shown(row.failure),
  };
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
  memory: readonly RowMemory[],
): Promise<ReadonlyMap<HandIn, RecordedFile>> {
  const known = (path: string): string | null =>
    memory.map((one) => one.hashOf?.(path) ?? null).find((hash) => hash !== null) ?? null;
  const files = new Map<HandIn, RecordedFile>();
  const waiting = [...handIns];
  const hash = async (): Promise<void> => {
    for (let handIn = waiting.shift(); handIn; handIn = waiting.shift()) {
      const { exercise, student, task, file, path } = handIn;
      const sha256 = known(path) ?? (await hashOf(path).catch(() => null));
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
  const slips = found.slips.filter((slip) => slip.exercise === exercise.id);
  const rows = ready.students.flatMap(({ code }) =>
    exercise.tasks.map((task) => {
      const own = handIns.filter((one) => one.student === code && one.task === task.id);
      const ownSlips = slips.filter(({ student }) => student === code);
      return markRow(exercise, task, code, { ...context, doubts, own, slips: ownSlips });
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
    flags: exerciseFlags(exercise, rows, {
      ready,
      handIns,
      slips,
      graded: context.rows.values(),
      inRun: [...context.files.values()],
      before: context.before,
      doubts,
    }),
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

/** What one student's answer to one task is marked from. */
interface RowContext extends MarkContext {
  readonly doubts: ClockDoubts;
  /** The student's files for the task. */
  readonly own: readonly HandIn[];
  /** The student's slips for the exercise. */
  readonly slips: readonly HandedSlip[];
}

function markRow(
  exercise: ReadyExercise,
  task: ReadyTask,
  student: string,
  context: RowContext,
): MarkedRow {
  const { ready, overrides, own } = context;
  const pictures = own.flatMap((handIn) => pictureFrame(exercise, handIn, context));
  const frames = [...pictures, ...framesOfSlips(exercise, task, student, pictures, context)];
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

function pictureFrame(
  exercise: ReadyExercise,
  handIn: HandIn,
  { ready, rows, files, before, doubts }: RowContext,
): MarkedFrame[] {
  const { file, by, student } = handIn;
  const graded = rows.get(handIn);
  if (!graded || by === null) return [];
  const { likeness: _, ...row } = graded;
  const sha256 = files.get(handIn)?.sha256 ?? null;
  const known = before.find((entry) => entry.exercise === exercise.id && entry.file === file);
  return [
    {
      ...{ file, sha256, by, row },
      from: "picture",
      changed: known && sha256 !== null ? known.sha256 !== sha256 : null,
      late: latenessOf(row, exercise.due, doubts.get(student) ?? null),
      level: levelOfFrame(row, ready.levels).level,
    },
  ];
}

/** Frames of slips in the place of pictures that were not handed in, as far as the task has room. */
function framesOfSlips(
  exercise: ReadyExercise,
  task: ReadyTask,
  student: string,
  pictures: readonly MarkedFrame[],
  { ready, files, slips }: RowContext,
): readonly MarkedFrame[] {
  const handedIn = new Set(
    [...files.values()]
      .filter((file) => file.exercise === exercise.id && file.student === student)
      .map(({ sha256 }) => sha256),
  );
  return slipFramesOf(slips, task)
    .filter(({ frame }) => !handedIn.has(frame.sha256))
    .flatMap(({ file, frame }): MarkedFrame[] => {
      const row = rowOfSlip(frame, file, task);
      if (!row) return [];
      return [
        {
          ...{ file, sha256: frame.sha256, row, changed: null },
          by: "slip",
          from: "slip",
          late: latenessOf(row, exercise.due, null),
          level: levelOfFrame(row, ready.levels).level,
        },
      ];
    })
    .slice(0, task.frames - pictures.length);
}

/** The frame in the middle by the size of its error; of two, the one that missed by more. */
function middleFrame(frames: readonly MarkedFrame[]): MarkedFrame | null {
  const judged = frames.filter(({ row }) => row.error !== null);
  const sizeOf = ({ row }: MarkedFrame): number =>
    row.error ? Math.abs(decidedError(row.error).stops) : 0;
  const sorted = [...judged].sort((a, b) => sizeOf(a) - sizeOf(b));
  return sorted[Math.floor(sorted.length / 2)] ?? null;
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
