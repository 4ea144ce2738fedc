import type { RecognisedBy } from "../model/markedClass.ts";
import type { Note } from "../model/note.ts";
import type { SlipFrame } from "../slip/slip.ts";

/** A file of a student, for a task of an exercise. */
export interface HandIn {
  /** The student's code. */
  readonly student: string;
  /** The exercise's ID. */
  readonly exercise: string;
  /** The task's ID; null for a file that no task asks for. */
  readonly task: string | null;
  /** Path to open; it may hold a person's name, so no result shows it. */
  readonly path: string;
  /** The path from the folder of all hand-ins with the student's code in place of what stands for it: what results show. */
  readonly file: string;
  /** How its task was recognised; null where it was not. */
  readonly by: RecognisedBy | null;
  /** Whether the task had all its frames already, so that this one does not count. */
  readonly surplus: boolean;
  /** What the student's own slip says of the frame; null without a slip. */
  readonly slip: SlipFrame | null;
}

/** Everything that lies where hand-ins are looked for. */
export interface FoundHandIns {
  /** By exercise, student and task, in the order of the class file. */
  readonly handIns: readonly HandIn[];
  /** Files and folders that belong to no student or exercise, each with what to do. */
  readonly strays: readonly Stray[];
}

/** A file or folder that belongs to nobody the class file names. */
export interface Stray extends Note {
  /** Path from the folder of all hand-ins. It may hold a person's name: results that are shared leave it out. */
  readonly path: string;
}
