import type { CauseCode } from "../../model/cause.ts";
import type { MarkedExercise, MarkedFrame, MarkedRow } from "../../model/markedClass.ts";

/** What a cell of the matrix student x exercise says. */
export interface MatrixCell {
  /** The task that is furthest from its placement; null where nothing was judged. */
  readonly furthest: MarkedRow | null;
  /** The frame that stands for it; null where there is none to look at. */
  readonly frame: MarkedFrame | null;
  readonly frames: number;
  readonly held: number;
  readonly missing: number;
  /** Causes of its misses, each once. */
  readonly causes: readonly CauseCode[];
  /** The lowest level among its tasks; null where none has one. */
  readonly lowest: string | null;
  /** Whether a teacher gave one of them. */
  readonly overridden: boolean;
}

/** One student's cell for an exercise. */
export function matrixCell(
  exercise: MarkedExercise,
  student: string,
  levels: readonly string[],
): MatrixCell {
  const rows = exercise.rows.filter((row) => row.student === student);
  const frames = rows.flatMap((row) => row.frames);
  const size = ({ error }: MarkedRow): number => Math.abs(error?.stops ?? 0);
  const [furthest = null] = rows.filter(({ error }) => error).sort((a, b) => size(b) - size(a));
  const shown = furthest?.shown;
  return {
    furthest,
    frame: frames.find(({ file }) => file === shown) ?? frames[0] ?? null,
    frames: frames.length,
    held: frames.filter(({ row }) => row.verdict === "within").length,
    missing: rows.reduce((sum, { missing }) => sum + missing, 0),
    causes: [...new Set(rows.flatMap(({ cause }) => cause ?? []))],
    lowest: levels.findLast((level) => rows.some((row) => row.level.level === level)) ?? null,
    overridden: rows.some(({ level }) => level.override !== null),
  };
}
