import type { Brief } from "../brief/brief.ts";

/** A class file as it is typed: who is in a class, what it is asked to photograph, and how hand-ins are found. */
export interface ClassFile {
  readonly $schema?: string | undefined;
  /** The class's name, for people. */
  readonly class: string;
  /**
   * Students by code: a list of codes, or a mapping from each code to what stands for it in the names of folders and files.
   * No result shows what stands for a code.
   */
  readonly students: readonly string[] | Readonly<Record<string, string | null>>;
  /** Path of the names file from the class file's folder: a mapping from codes to names. */
  readonly names?: string | undefined;
  /** The folder of all hand-ins, from the class file's; left out, it is the class file's own. */
  readonly folder?: string | undefined;
  /** Where hand-ins lie in that folder, with `{student}` and `{exercise}`. */
  readonly "hand-ins": string;
  /** Exercises by ID, in the order of the term. */
  readonly exercises: Readonly<Record<string, TypedExercise>>;
  /** Levels by name, the best first, each with the error up to which it is reached. */
  readonly levels?: Readonly<Record<string, LevelLimit>> | undefined;
}

/** How far a frame may miss for a level: stops, the task's own tolerance, or any miss. */
type LevelLimit = number | string;

/** An exercise of a class file. */
export interface TypedExercise {
  /** For people. */
  readonly title?: string | undefined;
  /** `2025-06-14` for the end of that day, `2025-06-14 18:00`, or with an offset, `2025-06-14T18:00+02:00`. */
  readonly due?: string | undefined;
  /** What stands for `{exercise}` where that is not the exercise's ID. */
  readonly folder?: string | undefined;
  /** Where the hand-ins of this exercise lie, where that differs from the class's pattern. */
  readonly "hand-ins"?: string | undefined;
  /** Tasks by ID, in the order in which they are asked. */
  readonly tasks: Readonly<Record<string, TypedTask>>;
}

/** How the files that answer a task are recognised where the class file gives no glob for them. */
export type Recognition = "keyword" | "order";

/** A task: a brief, how many frames answer it, and how to recognise them. */
export interface TypedTask {
  /** For people. */
  readonly title?: string | undefined;
  readonly place?: string | number | undefined;
  readonly region?: string | undefined;
  readonly tolerance?: string | number | undefined;
  readonly basis?: string | undefined;
  readonly transfer?: string | undefined;
  /**
   * How many frames answer it.
   * @default 1
   */
  readonly frames?: number | undefined;
  /** Glob of the files that answer it, within the hand-in or by bare name. */
  readonly files?: string | undefined;
  /**
   * `keyword`: only pictures with the keyword `tonefall:task=ID`. `order`: the files that nothing else recognises, in the order
   * of their names.
   * @default "order" without a glob
   */
  readonly by?: Recognition | undefined;
}

/** A class file with every text read and checked. */
export interface ReadyClass {
  /** Of the class file, with forward slashes. */
  readonly path: string;
  /** The folder of all hand-ins. */
  readonly folder: string;
  readonly name: string;
  /** Path of the names file; null where there is none. */
  readonly namesFile: string | null;
  /** In the order of the class file. */
  readonly students: readonly ReadyStudent[];
  /** In the order of the term. */
  readonly exercises: readonly ReadyExercise[];
  /** The best first; the last one is reached whatever the miss. */
  readonly levels: readonly ReadyLevel[];
}

/** A student of a class. */
export interface ReadyStudent {
  /** The only name that results give. */
  readonly code: string;
  /** What stands for the student in the names of folders and files: the code, unless the class file says otherwise. */
  readonly known: string;
}

/** A level, and what it takes. */
export interface ReadyLevel {
  /** In the teacher's words. */
  readonly name: string;
  /** `tolerance`: the verdict is within; stops: the error is at most this; `any`: whatever the miss. */
  readonly limit: "tolerance" | "any" | number;
}

/** An exercise of a class, with every text read. */
export interface ReadyExercise {
  readonly id: string;
  readonly title: string | null;
  readonly due: DueTime | null;
  /** What stands for `{exercise}` in the names of folders and files. */
  readonly known: string;
  /** Pattern of its hand-ins, from the folder of all hand-ins. */
  readonly pattern: string;
  readonly tasks: readonly ReadyTask[];
}

/** When an exercise is due. */
export interface DueTime {
  /** As the class file gives it. */
  readonly text: string;
  /** Local time, seconds since 1970-01-01T00:00:00 on the same clock. */
  readonly localSeconds: number;
  /** Minutes by which that clock is ahead of UTC; null where the class file gives no offset. */
  readonly offsetMinutes: number | null;
}

/** A task of an exercise, with every text read. */
export interface ReadyTask {
  readonly id: string;
  readonly title: string | null;
  readonly brief: Brief;
  /** How many frames answer it, from 1. */
  readonly frames: number;
  /** Null where it is recognised another way. */
  readonly files: string | null;
  /** Null where a glob recognises its files. */
  readonly by: Recognition | null;
}
