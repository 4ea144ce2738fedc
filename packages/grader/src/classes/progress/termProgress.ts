import { decidedError } from "../../model/decidedError.ts";
import type { FlagCode, MarkedClass, MarkedExercise, MarkedRow } from "../../model/markedClass.ts";
import { mayBeAnothers } from "../orderDoubts.ts";
import { type ClassExercise, type ClassProgress, classProgress } from "./classProgress.ts";
import type { ProgressFrame } from "./progressFrame.ts";

/** Version of the shape of a term's progress; a change that breaks a reader raises it. */
export const PROGRESS_VERSION = 1;

/** An exercise of the term with what the class did in it. */
export interface TermExercise extends ClassExercise {
  /** For people; null where the class file gives none. */
  readonly title: string | null;
  /** As the class file gives it; null where it gives none. */
  readonly due: string | null;
}

/** A class's progress over a term, as JSON has it. Students are known by their codes alone. */
export interface TermProgress extends ClassProgress {
  /** {@link PROGRESS_VERSION}. */
  readonly schemaVersion: typeof PROGRESS_VERSION;
  /** The class's name. */
  readonly class: string;
  /** Exercises so far, in their order: those that anybody handed in for. */
  readonly exercises: readonly TermExercise[];
}

/**
 * What a class and each of its students did over the exercises that were marked.
 *
 * @example
 * ```ts
 * const { marked } = await markClass("class.yaml");
 * const term = termProgress(marked);
 * term.students.find(({ student }) => student === "S04")?.trend.kind; // => "improves"
 * ```
 */
export function termProgress(marked: MarkedClass): TermProgress {
  const progress = classProgress({
    students: marked.students,
    exercises: marked.exercises.map(({ id }) => id),
    frames: marked.exercises.flatMap(framesOf),
  });
  const exercises = progress.exercises.map((exercise): TermExercise => {
    const { title = null, due = null } =
      marked.exercises.find(({ id }) => id === exercise.exercise) ?? {};
    return { title, due, ...exercise };
  });
  return { schemaVersion: PROGRESS_VERSION, class: marked.class, ...progress, exercises };
}

function framesOf({ id, rows, flags }: MarkedExercise): ProgressFrame[] {
  const alike = new Set(
    flags.filter(({ code }) => COPY_CODES.has(code)).flatMap((one) => one.files),
  );
  return rows
    .flatMap((row) => framesOfRow(id, row))
    .map((frame) => (alike.has(frame.file) ? { ...frame, mayBeCopied: true } : frame));
}

/** Flags of files that may be one. */
const COPY_CODES: ReadonlySet<FlagCode> = new Set<FlagCode>(["same-bytes", "same-picture"]);

function framesOfRow(exercise: string, marked: MarkedRow): ProgressFrame[] {
  const { student, task } = marked;
  return marked.frames.map((frame): ProgressFrame => {
    const { file, row } = frame;
    if (mayBeAnothers(marked, frame))
      return { ...{ student, exercise, task, file }, ...NOT_JUDGED };
    const { error, verdict, causes, placement } = row;
    const decided = error && decidedError(error);
    return {
      ...{ student, exercise, task, file, verdict },
      errorStops: decided?.stops ?? null,
      bound: decided?.bound ?? null,
      placeStops: placement && (placement.from + placement.to) / 2,
      cause: causes[0]?.code ?? null,
    };
  });
}

const NOT_JUDGED = {
  ...{ verdict: null, errorStops: null, bound: null, placeStops: null, cause: null },
} as const;
