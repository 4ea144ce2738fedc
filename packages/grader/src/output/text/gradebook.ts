import type { CauseCode } from "../../model/cause.ts";
import type { MarkedClass, MarkedExercise, MarkedRow } from "../../model/markedClass.ts";
import { CAUSE_WORDS } from "../page/wording.ts";
import { type CsvCell, csv } from "./csv.ts";

/** Which rows a gradebook has: one a student and exercise, or one a student with exercises across. */
export const GRADEBOOKS = ["long", "wide"] as const;

/** One of {@link GRADEBOOKS}. */
export type Gradebook = (typeof GRADEBOOKS)[number];

const LONG_HEAD = [
  "student",
  "exercise",
  "level",
  "suggested_level",
  "error_stops",
  "bound",
  "verdict",
  "cause",
  "words",
  "frames",
  "missing",
  "late",
];

/**
 * A class's levels as comma-separated values, for a gradebook: UTF-8 with a mark of it at the front, which spreadsheets
 * need. Texts that a spreadsheet would run as a formula begin with an apostrophe. Students stand by their codes.
 */
export function gradebook(marked: MarkedClass, kind: Gradebook): string {
  return `\uFEFF${kind === "long" ? longBook(marked) : wideBook(marked)}`;
}

function longBook({ students, levels, exercises }: MarkedClass): string {
  return csv(
    LONG_HEAD,
    students.flatMap((student) => exercises.map((exercise) => longRow(student, exercise, levels))),
  );
}

function longRow(
  student: string,
  exercise: MarkedExercise,
  levels: readonly string[],
): readonly CsvCell[] {
  const { level, shown, rows } = summed(student, exercise, levels);
  const frames = rows.flatMap((row) => row.frames);
  return [
    student,
    exercise.id,
    level,
    lowest(
      rows.map((row) => row.level.suggested),
      levels,
    ),
    shown ? stopsOf(shown) : null,
    shown?.error?.bound ?? null,
    shown?.verdict ?? null,
    shown?.cause ?? null,
    wordsOf(shown),
    frames.length,
    rows.reduce((sum, { missing }) => sum + missing, 0),
    frames.filter(({ late }) => late.late === true).length,
  ];
}

function wideBook({ students, levels, exercises }: MarkedClass): string {
  return csv(
    ["student", ...exercises.flatMap(({ id }) => [id, `${id}_error_stops`])],
    students.map((student) => [
      student,
      ...exercises.flatMap((exercise) => {
        const { level, shown } = summed(student, exercise, levels);
        return [level, shown ? stopsOf(shown) : null];
      }),
    ]),
  );
}

/** An exercise of one student. */
interface Summed {
  readonly rows: readonly MarkedRow[];
  /** The lowest of its tasks' levels; null where one has none. */
  readonly level: string | null;
  /** The task that is furthest from its placement: what the student needs to hear about. Null without an error. */
  readonly shown: MarkedRow | null;
}

/** What an exercise comes to for one student: as good as its weakest task, which is also the one that is spoken of. */
function summed(student: string, exercise: MarkedExercise, levels: readonly string[]): Summed {
  const rows = exercise.rows.filter((row) => row.student === student);
  const [shown = null] = rows
    .filter(({ error }) => error !== null)
    .sort((a, b) => sizeOf(b) - sizeOf(a));
  return {
    rows,
    level: lowest(
      rows.map((row) => row.level.level),
      levels,
    ),
    shown,
  };
}

function lowest(given: readonly (string | null)[], levels: readonly string[]): string | null {
  const places = given.map((level) => (level === null ? -1 : levels.indexOf(level)));
  if (places.length === 0 || places.includes(-1)) return null;
  return levels[Math.max(...places)] ?? null;
}

/** The error as a gradebook needs it: JSON has every digit. */
function stopsOf({ error }: MarkedRow): number | null {
  return error && Number(error.stops.toFixed(2));
}

function sizeOf({ error }: MarkedRow): number {
  return Math.abs(error?.stops ?? 0);
}

function wordsOf(row: MarkedRow | null): string | null {
  if (!row) return null;
  const frame = row.frames.find(({ file }) => file === row.shown);
  return frame?.row.feedback?.text ?? causeText(row.cause);
}

function causeText(cause: CauseCode | null): string | null {
  return cause && CAUSE_WORDS[cause];
}
