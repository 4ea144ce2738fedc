import type { RecognisedBy, Remark } from "../model/markedClass.ts";
import type { SlipFrame } from "../model/slip.ts";

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
  /** The other file of its shot, raw or rendered, as results show it; null where there is none. */
  readonly beside: string | null;
  /** How its task was recognised; null where it was not. */
  readonly by: RecognisedBy | null;
  /** Whether the task had all its frames already, so that this one does not count. */
  readonly surplus: boolean;
}

/** A slip that a student handed in beside pictures, or in their place. */
export interface HandedSlip {
  /** The student's code, by where the file lies; else by the slip itself. */
  readonly student: string;
  /** The exercise's ID, in the same way. */
  readonly exercise: string;
  /** The slip's file, as results show it. */
  readonly file: string;
  /** One for each picture that the student's page graded. */
  readonly frames: readonly SlipFrame[];
}

/** Everything that lies where hand-ins are looked for. */
export interface FoundHandIns {
  /** By exercise, student and task, in the order of the class file. */
  readonly handIns: readonly HandIn[];
  /** Slips, by exercise and student. */
  readonly slips: readonly HandedSlip[];
  /** Files and folders that belong to no student or exercise, each with what to do. */
  readonly strays: readonly Stray[];
}

/** A file or folder that belongs to nobody the class file names. */
export interface Stray extends Remark {
  /** Path from the folder of all hand-ins. It may hold a person's name: results that are shared leave it out. */
  readonly path: string;
}
