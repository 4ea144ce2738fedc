import type { Verdict } from "@tonefall/tone-core";
import type {
  MarkedClass,
  MarkedExercise,
  MarkedFrame,
  MarkedRow,
} from "../../model/markedClass.ts";
import type { Placement } from "../../model/result.ts";
import { placementText } from "../../model/words.ts";
import { mayBeAnothers } from "../orderDoubts.ts";
import { type FrameWords, frameWords, openWords } from "./frameWords.ts";
import { filled, type SheetTemplates } from "./sheetTemplates.ts";

/** What one student gets back: nothing in it is of another. */
export interface StudentSheet {
  /** The code, by which the sheet's files are named. */
  readonly student: string;
  /** How the sheet speaks of the student: the code, or a name that was asked for. */
  readonly shownAs: string;
  /** The exercises, in their order. */
  readonly exercises: readonly SheetExercise[];
}

/** One exercise of a sheet: a page. */
export interface SheetExercise {
  /** As in the class file. */
  readonly id: string;
  /** For people. */
  readonly title: string;
  /** How it went in one sentence. */
  readonly summary: string;
  /** The frames. */
  readonly frames: readonly SheetFrame[];
  /** One sentence for each task with frames still to come. */
  readonly missing: readonly string[];
  /** Usual cautions where a task touches sun, flash, roads or water; each once. */
  readonly cautions: readonly string[];
}

/** One frame of a sheet. */
export interface SheetFrame {
  /** As results show it. */
  readonly file: string;
  /** The task's title, or its ID. */
  readonly task: string;
  /** What was asked; null where the task leaves it open. */
  readonly asked: string | null;
  /** Null where none is given. */
  readonly level: string | null;
  /** The teacher's own words; null without any. */
  readonly teacher: string | null;
  /** Null where the sheet does not judge it. */
  readonly verdict: Verdict | null;
  /** What is said of it. */
  readonly words: FrameWords;
  /** The frame as it was marked. */
  readonly frame: MarkedFrame;
}

/**
 * The sheet of each student of a marked class, in the order of the class file.
 *
 * @param marked - the class, with the exercises that the sheets are to cover
 * @param templates - the words to write with, from `readTemplates`
 * @param nameOf - how a sheet speaks of a student, by the code; by default the code itself
 */
export function studentSheets(
  { students, exercises }: MarkedClass,
  templates: SheetTemplates,
  nameOf: (student: string) => string = (student) => student,
): StudentSheet[] {
  return students.map((student) => ({
    student,
    shownAs: nameOf(student),
    exercises: exercises.map((exercise) =>
      sheetExercise(exercise, student, nameOf(student), templates),
    ),
  }));
}

function sheetExercise(
  exercise: MarkedExercise,
  student: string,
  shownAs: string,
  templates: SheetTemplates,
): SheetExercise {
  const rows = exercise.rows.filter((row) => row.student === student);
  const frames = rows.flatMap((row) =>
    row.frames.map((frame) => sheetFrame(frame, row, exercise, templates)),
  );
  const exerciseName = exercise.title ?? exercise.id;
  const cautions = [
    ...exercise.tasks.flatMap((task) => task.cautions),
    ...frames.flatMap(({ frame }) => frame.row.feedback?.cautions ?? []),
  ];
  return {
    id: exercise.id,
    title: filled(templates, "title", { exercise: exerciseName, student: shownAs }),
    summary: summaryOf(frames, templates),
    frames,
    missing:
      frames.length === 0
        ? []
        : rows
            .filter(({ missing }) => missing > 0)
            .map(({ task, missing }) =>
              filled(templates, "task-missing", { task: taskName(task, exercise), missing }),
            ),
    cautions: [...new Set(cautions)],
  };
}

/** How many frames were held; frames that cannot be judged count neither way. */
function summaryOf(frames: readonly SheetFrame[], templates: SheetTemplates): string {
  if (frames.length === 0) return filled(templates, "nothing");
  if (frames.length === 1) return filled(templates, "summary-one");
  const verdicts = frames.map(({ verdict }) => verdict);
  const held = verdicts.filter((verdict) => verdict === "within").length;
  const open = verdicts.filter((verdict) => verdict === null || verdict === "undecided").length;
  if (open === frames.length) return filled(templates, "summary-none");
  const judged = frames.length - open;
  return open === 0
    ? filled(templates, "summary", { held, frames: frames.length })
    : filled(templates, "summary-some", { held, judged, open });
}

function sheetFrame(
  frame: MarkedFrame,
  marked: MarkedRow,
  exercise: MarkedExercise,
  templates: SheetTemplates,
): SheetFrame {
  const { task, level } = marked;
  // A teacher who gives the level has looked which task the frame answers.
  const isOpen = mayBeAnothers(marked, frame) && level.override === null;
  const { placement } = frame.row;
  const shown = level.override ? level.level : (frame.level ?? level.level);
  const why = level.override?.why ?? null;
  return {
    file: frame.file,
    task: taskName(task, exercise),
    asked: placement && filled(templates, "asked", { place: placeText(placement) }),
    level: shown === null ? null : filled(templates, "level", { level: shown }),
    teacher: why === null ? null : filled(templates, "teacher", { why }),
    verdict: isOpen ? null : frame.row.verdict,
    words: isOpen ? openWords(templates) : frameWords(frame.row, templates),
    frame,
  };
}

/** A placement by its tone's name and in stops, or in stops alone: `tar (-2 to -1.5)`, `-2 to -1.5`. */
function placeText(placement: Placement): string {
  const stops = placementText(placement);
  return /[a-z]{2}/i.test(placement.text.replace(/\bto\b/g, ""))
    ? `${placement.text} (${stops})`
    : stops;
}

function taskName(id: string, { tasks }: MarkedExercise): string {
  return tasks.find((task) => task.id === id)?.title ?? id;
}
