import { shownText } from "@tonefall/tone-core";
import { type Brief, readyBrief } from "../../brief/brief.ts";
import type { ReadyExercise } from "../../classes/classFile.ts";
import { cautionsFor } from "../../judge/feedback/cautions.ts";
import { GraderError } from "../../model/errors.ts";
import { placementText, safeText, sentenceCase } from "../../model/words.ts";

/** What a hand-in page asks of a student. */
export interface Exercise {
  /** Its ID in the class file, or the title of the page. */
  readonly name: string;
  /** For people. */
  readonly title: string;
  /** When it is due, in the class file's words; null where nothing says so. */
  readonly due: string | null;
  /** Whether its students have codes, as those of a class have. */
  readonly asksCode: boolean;
  /** In the order in which they are asked. */
  readonly tasks: readonly ExerciseTask[];
}

/** One task of an exercise. */
export interface ExerciseTask {
  /** Its ID in the class file, or its glob in the brief file. */
  readonly name: string;
  /** For people. */
  readonly title: string;
  /** What it asks of a frame. */
  readonly brief: Brief;
  /** Where the tone belongs, as a figure: `+1.5 to +2.3`; null where the task places nothing. */
  readonly placed: string | null;
  /** Whether the student chooses the region, since the brief names none. */
  readonly regionOpen: boolean;
  /** How many frames answer it; null where the brief does not say. */
  readonly frames: number | null;
  /** Usual cautions where the task touches sun, flash, roads or water. */
  readonly cautions: readonly string[];
}

/** Globs of all files: their briefs belong to every task. */
const EVERYTHING: ReadonlySet<string> = new Set(["*", "**", "**/*", "*.*", "**/*.*"]);

/**
 * The exercise that a brief file sets: each of its globs that places a tone is a task, and what it says of all files holds
 * for each. A file that only says something of all files is one task.
 *
 * @param entries - a brief file's globs with their briefs
 * @param title - of the page
 * @throws {@link GraderError} `bad-brief` where it asks for nothing
 */
export function exerciseOfBriefs(
  entries: readonly (readonly [string, Brief])[],
  title: string,
): Exercise {
  const ofAll = entries.filter(([glob]) => EVERYTHING.has(glob)).map(([, brief]) => brief);
  const shared: Brief = Object.assign({}, ...ofAll);
  const own = entries.filter(
    ([glob, { place, region }]) => !EVERYTHING.has(glob) && (place ?? region) !== undefined,
  );
  const asked = own.length > 0 ? own : entries.filter(([glob]) => EVERYTHING.has(glob)).slice(0, 1);
  if (asked.length === 0) {
    throw new GraderError(
      "bad-brief",
      `Expected a brief that places a tone, such as "dark-*.jpg": { place: -2 }, but it has none`,
    );
  }
  const tasks = asked.map(([glob, brief]) =>
    taskOf({ name: glob, title: titleOfGlob(glob), brief: { ...shared, ...brief }, frames: null }),
  );
  return { name: title, title: sentenceCase(title), due: null, asksCode: false, tasks };
}

/** The exercise of a class as a hand-in page asks it. */
export function exerciseOfClass({ id, title, due, tasks }: ReadyExercise): Exercise {
  return {
    name: id,
    title: title ?? id,
    due: due?.text ?? null,
    asksCode: true,
    tasks: tasks.map((task) =>
      taskOf({
        name: task.id,
        title: task.title ?? task.id,
        brief: task.brief,
        frames: task.frames,
      }),
    ),
  };
}

function taskOf(task: Pick<ExerciseTask, "name" | "title" | "brief" | "frames">): ExerciseTask {
  const { placement, regionGiven } = readyBrief(task.brief);
  return {
    ...task,
    title: safeText(task.title),
    placed: placement && placementText(placement),
    regionOpen: !regionGiven,
    cautions: cautionsFor({
      words: [task.title, placement?.text ?? ""],
      flashFired: false,
      ev100: null,
    }),
  };
}

/** A glob as a name: `dark-*.jpg` becomes `Dark`. */
function titleOfGlob(glob: string): string {
  if (EVERYTHING.has(glob)) return "Your pictures";
  const words = (glob.split("/").at(-1) ?? glob)
    .replace(/\.(?:\*|[^.*]*)$/, "")
    .replace(/[*?{}[\]!,_-]+/g, " ")
    .trim();
  if (words === "") return shownText(glob);
  return sentenceCase(words);
}
