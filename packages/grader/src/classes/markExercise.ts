import { readyBrief } from "../brief/brief.ts";
import { cautionsFor } from "../judge/feedback/cautions.ts";
import type { MarkedExercise, MarkedRow, MarkedSummary, MarkedTask } from "../model/markedClass.ts";
import type { ReadyClass, ReadyExercise, ReadyTask } from "./classFile.ts";
import { exerciseFlags } from "./exerciseFlags.ts";
import { clockDoubts } from "./lateness.ts";
import { type MarkContext, markRow } from "./markRow.ts";
import { orderDoubts } from "./orderDoubts.ts";

/** What every student handed in for an exercise, and what the teacher should look at. */
export function markExercise(exercise: ReadyExercise, context: MarkContext): MarkedExercise {
  const { ready, found } = context;
  const handIns = [...found.handIns].filter((handIn) => handIn.exercise === exercise.id);
  const timed = handIns.flatMap((handIn) => {
    const row = context.rows.get(handIn);
    return row ? [{ student: handIn.student, row }] : [];
  });
  const doubts = clockDoubts(timed);
  const ordered = orderDoubts(exercise, handIns, context.files);
  const slips = found.slips.filter((slip) => slip.exercise === exercise.id);
  const rows = ready.students.flatMap(({ code }) =>
    exercise.tasks.map((task) => {
      const own = handIns.filter((one) => one.student === code && one.task === task.id);
      const ownSlips = slips.filter(({ student }) => student === code);
      const orderDoubted = ordered.some(({ student }) => student === code);
      return markRow(exercise, task, code, {
        ...context,
        doubts,
        orderDoubted,
        own,
        slips: ownSlips,
      });
    }),
  );
  const unasked = handIns
    .filter(({ task }) => task === null)
    .map(({ student, file }) => ({ student, file }));
  return {
    id: exercise.id,
    title: exercise.title,
    due: exercise.due?.text ?? null,
    tasks: exercise.tasks.map((task) => markedTask(task, exercise)),
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
      ordered,
    }),
    strays: found.strays.map(({ code, message }) => ({ code, message })),
    summary: summaryOf(rows, unasked.length, ready),
  };
}

function markedTask({ id, title, brief, frames }: ReadyTask, exercise: ReadyExercise): MarkedTask {
  const { placement, regionText, tolerance } = readyBrief(brief);
  const words = [placement?.text, title, id, exercise.title, exercise.id].map((word) => word ?? "");
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
