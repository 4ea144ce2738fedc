import { nameGlob } from "../brief/nameGlob.ts";
import { FLAG_CODES, type Flag, type MarkedRow } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import type { ReadyClass, ReadyExercise } from "./classFile.ts";
import { findCopies } from "./copies.ts";
import { cameraOf, frameFlags, type UsualSoftware, usualSoftware } from "./frameFlags.ts";
import type { HandedSlip, HandIn } from "./handIn.ts";
import { clockText, type DoubtedClock } from "./lateness.ts";
import type { RecordedFile } from "./markRecord.ts";
import { type OrderDoubt, orderFlags } from "./orderDoubts.ts";
import { slipFlags } from "./slipFrames.ts";

/** What the flags of an exercise are found from. */
export interface FlagContext {
  readonly ready: ReadyClass;
  /** Of the exercise. */
  readonly handIns: readonly HandIn[];
  /** Of the exercise. */
  readonly slips: readonly HandedSlip[];
  /** Graded rows of the whole run. */
  readonly graded: Iterable<FrameResult>;
  /** Files of the whole run. */
  readonly inRun: readonly RecordedFile[];
  /** What earlier runs marked. */
  readonly before: readonly RecordedFile[];
  readonly doubts: readonly DoubtedClock[];
  readonly ordered: readonly OrderDoubt[];
}

/** What a teacher should look at in an exercise, in the order of {@link FLAG_CODES}. */
export function exerciseFlags(
  exercise: ReadyExercise,
  rows: readonly MarkedRow[],
  { ready, handIns, slips, graded, inRun, before, doubts, ordered }: FlagContext,
): readonly Flag[] {
  const place = ready.exercises.findIndex(({ id }) => id === exercise.id);
  const earlierIds = new Set(ready.exercises.slice(0, place).map(({ id }) => id));
  const markedNow = new Set(inRun.map((file) => file.exercise));
  const earlier = [...before.filter((file) => !markedNow.has(file.exercise)), ...inRun].filter(
    (file) => earlierIds.has(file.exercise),
  );
  const own = inRun.filter((file) => file.exercise === exercise.id);
  const usual = usualSoftware([...graded]);
  const flags = [
    ...findCopies(own, earlier),
    ...otherExercise(exercise, handIns, ready),
    ...orderFlags(ordered),
    ...changedFlags(exercise, rows, before, [
      ...own.map(({ file }) => file),
      ...handIns.flatMap(({ beside }) => beside ?? []),
    ]),
    ...clockFlags(doubts, rows),
    ...fromSlips(exercise, rows, slips),
    ...eachFrame(rows, usual),
  ];
  const rank = ({ code }: Flag): number => FLAG_CODES.indexOf(code);
  return flags.sort((a, b) => rank(a) - rank(b));
}

function fromSlips(
  { tasks }: ReadyExercise,
  rows: readonly MarkedRow[],
  slips: readonly HandedSlip[],
): readonly Flag[] {
  return rows.flatMap(({ student, task: id, frames }) => {
    const task = tasks.find((one) => one.id === id);
    const own = slips.filter((slip) => slip.student === student);
    return task ? slipFlags(student, task, own, frames) : [];
  });
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
                fits: nameGlob(task.files),
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

/**
 * Hand-ins that are not what was marked before.
 *
 * @param present - files that are there, graded or not
 */
function changedFlags(
  exercise: ReadyExercise,
  rows: readonly MarkedRow[],
  before: readonly RecordedFile[],
  present: readonly string[],
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
  const there = new Set(present);
  const gone = before
    .filter((one) => one.exercise === exercise.id && !there.has(one.file))
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

function clockFlags(doubts: readonly DoubtedClock[], rows: readonly MarkedRow[]): readonly Flag[] {
  return doubts.map(({ student, camera, days }): Flag => {
    const timed = rows.flatMap((row) =>
      row.student === student
        ? row.frames
            .filter((frame) => frame.late.capturedAt !== null)
            .filter((frame) => cameraOf(frame.row.exposure) === camera)
            .map(({ file }) => ({ file, task: row.task }))
        : [],
    );
    return {
      code: "clock-differs",
      students: [student],
      files: timed.map(({ file }) => file),
      task: timed[0]?.task ?? null,
      message: clockText(`The clock of ${student}'s ${camera ?? "camera"}`, days),
      evidence: [
        {
          code: "median",
          message: `The middle of its times of capture lies ${Math.abs(Math.round(days))} days from the class's.`,
        },
      ],
    };
  });
}
