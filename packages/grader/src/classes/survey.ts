import type { ReadyClass } from "./classFile.ts";
import type { FoundHandIns } from "./handIn.ts";

/** What was handed in, counted before anything is opened. */
export interface Survey {
  readonly class: string;
  /** In the order of the term. */
  readonly exercises: readonly {
    readonly id: string;
    /** Where its hand-ins are looked for. */
    readonly pattern: string;
    readonly students: readonly {
      readonly code: string;
      /** Files for each task, with how many it asks for; and files that answer none. */
      readonly tasks: readonly {
        readonly id: string;
        readonly files: number;
        readonly asked: number;
      }[];
      readonly unasked: number;
    }[];
  }[];
  /** Files that belong to no student or exercise, or that no task asks for. */
  readonly amiss: number;
}

/** Counts what was handed in. */
export function surveyOf(ready: ReadyClass, { handIns, strays }: FoundHandIns): Survey {
  const exercises = ready.exercises.map(({ id, pattern, tasks }) => ({
    id,
    pattern,
    students: ready.students.map(({ code }) => {
      const own = handIns.filter(({ exercise, student }) => exercise === id && student === code);
      const of = (task: string | null): number => own.filter((one) => one.task === task).length;
      return {
        code,
        tasks: tasks.map((task) => ({ id: task.id, files: of(task.id), asked: task.frames })),
        unasked: of(null),
      };
    }),
  }));
  const unasked = handIns.filter(({ task }) => task === null).length;
  return { class: ready.name, exercises, amiss: strays.length + unasked };
}
