import type { ExerciseTask } from "../exercise.ts";
import type { Graded } from "./graderLink.ts";

/** A picture that a student has chosen for a task. */
export interface ChosenFrame {
  readonly task: ExerciseTask;
  readonly file: File;
  /** The region that the student marked, in text form; null where the exercise or the file says. */
  region: string | null;
  /** Where the student expects the tone, stops from middle grey; null before a guess, and where none is asked for. */
  predictedStops: number | null;
  /** Null while it is at work, and before its subject is marked. */
  graded: Graded | null;
}
