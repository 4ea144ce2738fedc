import { decidedError } from "../model/decidedError.ts";
import type { MarkedFrame, MarkedRow } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import type { ReadyClass, ReadyExercise, ReadyTask } from "./classFile.ts";
import type { FoundHandIns, HandedSlip, HandIn } from "./handIn.ts";
import { clockDaysOf, type DoubtedClock, latenessOf } from "./lateness.ts";
import { LEVEL_BY_ORDER_IN_DOUBT, levelOfFrame, levelOfTask, withOverride } from "./levelOf.ts";
import type { RecordedFile } from "./markRecord.ts";
import type { Overrides } from "./readOverrides.ts";
import { rowOfSlip, slipFramesOf } from "./slipFrames.ts";

/** What every exercise is marked from. */
export interface MarkContext {
  readonly ready: ReadyClass;
  readonly overrides: Overrides;
  readonly found: FoundHandIns;
  readonly rows: ReadonlyMap<HandIn, FrameResult>;
  readonly files: ReadonlyMap<HandIn, RecordedFile>;
  readonly before: readonly RecordedFile[];
}

/** What one student's answer to one task is marked from. */
export interface RowContext extends MarkContext {
  readonly doubts: readonly DoubtedClock[];
  /** Whether the student's files may answer other tasks than their order says. */
  readonly orderDoubted: boolean;
  /** The student's files for the task. */
  readonly own: readonly HandIn[];
  /** The student's slips for the exercise. */
  readonly slips: readonly HandedSlip[];
}

/** What one student handed in for one task: the frames, the one that stands for it, and the level it suggests. */
export function markRow(
  exercise: ReadyExercise,
  task: ReadyTask,
  student: string,
  context: RowContext,
): MarkedRow {
  const { ready, overrides, own } = context;
  const pictures = own.flatMap((handIn) => pictureFrame(exercise, handIn, context));
  const frames = [...pictures, ...framesOfSlips(exercise, task, student, pictures, context)];
  const doubted = context.orderDoubted && pictures.some(({ by }) => by === "order");
  const shown = doubted ? null : middleFrame(frames);
  const suggested = doubted
    ? LEVEL_BY_ORDER_IN_DOUBT
    : levelOfTask(frames, task.frames, ready.levels);
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
  { ready, rows, files, before, doubts, orderDoubted }: RowContext,
): MarkedFrame[] {
  const { file, beside, by, student } = handIn;
  const graded = rows.get(handIn);
  if (!graded || by === null) return [];
  const { likeness: _, ...row } = graded;
  const sha256 = files.get(handIn)?.sha256 ?? null;
  const isDoubted = orderDoubted && by === "order";
  const known = before.find((entry) => entry.exercise === exercise.id && entry.file === file);
  return [
    {
      ...{ file, beside, sha256, by, row },
      from: "picture",
      changed: known && sha256 !== null ? known.sha256 !== sha256 : null,
      late: latenessOf(row, exercise.due, clockDaysOf(doubts, { student, row })),
      level: isDoubted ? null : levelOfFrame(row, ready.levels).level,
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
          ...{ file, beside: null, sha256: frame.sha256, row, changed: null },
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
