import { dirname, join } from "node:path";
import { parseStops } from "@tonefall/tone-core";
import picomatch from "picomatch";
import { z } from "zod";
import { type Brief, readyBrief } from "../brief/brief.ts";
import { likelyMeant, type TypedKind } from "../brief/likelyMeant.ts";
import { schemaProblem } from "../brief/yaml/schemaProblem.ts";
import {
  parseYaml,
  readYamlFile,
  type YamlDocument,
  type YamlKind,
  yamlText,
} from "../brief/yaml/yamlDocument.ts";
import type { GraderError } from "../model/errors.ts";
import { sameName } from "../model/sameName.ts";
import type {
  ClassFile,
  ReadyClass,
  ReadyExercise,
  ReadyLevel,
  ReadyStudent,
  ReadyTask,
  TypedExercise,
  TypedTask,
} from "./classFile.ts";
import { classFileSchema, ID_FORM } from "./classSchema.ts";
import { readDueTime } from "./dueTime.ts";
import { handInPattern } from "./handInPattern.ts";

const CLASS_FILE: YamlKind = {
  what: "a class file",
  code: "bad-class",
  begin: "tonefall class new",
};

/** Levels of a class whose file names none, and the errors up to which they are reached. Our judgement. */
const USUAL_LEVELS: readonly ReadyLevel[] = [
  { name: "placed", limit: "tolerance" },
  { name: "nearly", limit: 1 },
  { name: "not yet", limit: "any" },
];

/** Keys of a task that are its brief, with the kind of text that each holds. */
const BRIEF_KEYS = {
  place: "place",
  region: "region",
  tolerance: "stops",
  basis: "basis",
  transfer: "transfer",
} as const satisfies Readonly<Record<string, TypedKind>>;

/** A class file as far as it could be read, and everything that is wrong with it. */
export interface CheckedClass {
  /** Null where something is wrong. */
  readonly ready: ReadyClass | null;
  /** In the order of the file, each with its line and column. */
  readonly problems: readonly GraderError[];
}

/**
 * Reads a class file.
 *
 * @throws {@link GraderError} `bad-class`, with line and column
 */
export async function readClass(path: string): Promise<ReadyClass> {
  const { ready, problems } = await checkClass(path);
  if (ready) return ready;
  throw problems[0] as GraderError;
}

/**
 * Reads a class file, and gathers everything that is wrong with it.
 *
 * @throws {@link GraderError} `bad-class` where it cannot be read, or is no YAML
 */
export async function checkClass(path: string): Promise<CheckedClass> {
  return checked(await readYamlFile(path, CLASS_FILE), path);
}

/** {@link checkClass} for a text; the path is for messages and for the class's folder. */
export function checkClassText(text: string, path: string): CheckedClass {
  return checked(parseYaml(text, path, CLASS_FILE), path);
}

function checked(document: YamlDocument, path: string): CheckedClass {
  const parsed = classFileSchema.safeParse(document.data);
  if (!parsed.success) {
    const { issues } = parsed.error;
    const problems = issues.map((issue) => {
      const { what, at, mended } = schemaProblem(
        new z.ZodError([issue]),
        classFileSchema,
        document,
      );
      return document.refusal(what, at, mended);
    });
    return { ready: null, problems };
  }
  const reader = new ClassReader(parsed.data, document);
  const ready = reader.read(path);
  return { ready: reader.problems.length > 0 ? null : ready, problems: reader.problems };
}

type ClassPath = readonly (string | number)[];

/** Reads the texts of a class file, and goes on after what it cannot read. */
class ClassReader {
  readonly problems: GraderError[] = [];
  readonly #file: ClassFile;
  readonly #document: YamlDocument;

  constructor(file: ClassFile, document: YamlDocument) {
    this.#file = file;
    this.#document = document;
  }

  read(path: string): ReadyClass {
    const file = this.#file;
    const home = dirname(path);
    const students = this.#students();
    return {
      path: path.replaceAll("\\", "/"),
      folder: file.folder === undefined ? home : join(home, file.folder),
      name: file.class,
      namesFile: file.names === undefined ? null : join(home, file.names),
      students,
      exercises: this.#exercises(students),
      levels: this.#levels(),
    };
  }

  #students(): readonly ReadyStudent[] {
    const { students } = this.#file;
    const listed = Array.isArray(students);
    const entries: readonly (readonly [string, string | null])[] = listed
      ? (students as readonly string[]).map((code) => [code, null])
      : Object.entries(students as Readonly<Record<string, string | null>>);
    if (entries.length === 0) this.#refuse("the class has no students", ["students"]);
    const ready = entries.map(([code, known], i) => {
      const at = ["students", listed ? i : code];
      this.#id(code, "code", at);
      return { code, known: known ?? code };
    });
    for (const [i, { code, known }] of ready.entries()) {
      const at = ["students", listed ? i : code];
      const before = ready.slice(0, i);
      if (before.some((other) => sameName(other.code, code))) {
        this.#refuse(
          `the code "${code}" appears twice; give every student a code of their own`,
          at,
        );
      } else if (before.some((other) => sameName(other.known, known))) {
        this.#refuse(`"${known}" stands for two students; give each its own name`, at);
      }
    }
    return ready;
  }

  #exercises(students: readonly ReadyStudent[]): readonly ReadyExercise[] {
    const entries = Object.entries(this.#file.exercises);
    if (entries.length === 0) this.#refuse("the class has no exercises", ["exercises"]);
    const ready = entries.map(([id, typed]) => this.#exercise(id, typed, students));
    for (const [i, { id, known, pattern }] of ready.entries()) {
      const at = ["exercises", id];
      const before = ready.slice(0, i);
      if (before.some((other) => sameName(other.id, id) || sameName(other.known, known))) {
        this.#refuse(`"${known}" stands for two exercises; give each its own name`, at);
      }
      if (ready.length > 1 && !pattern.includes("{exercise}") && this.#hasOrder(id, i, ready)) {
        this.#refuse(
          `the pattern "${pattern}" does not name {exercise}, so files of several exercises cannot be told apart by order; give every task "files" or "by: keyword"`,
          at,
        );
      }
    }
    return ready;
  }

  /** Whether tasks by order share their pattern with another exercise. */
  #hasOrder(id: string, i: number, ready: readonly ReadyExercise[]): boolean {
    const { pattern, tasks } = ready[i] as ReadyExercise;
    const shared = ready.some((other) => other.id !== id && other.pattern === pattern);
    return shared && tasks.some(({ by }) => by === "order");
  }

  #exercise(id: string, typed: TypedExercise, students: readonly ReadyStudent[]): ReadyExercise {
    const at: ClassPath = ["exercises", id];
    this.#id(id, "exercise", at);
    const known = typed.folder ?? id;
    const own = typed["hand-ins"];
    const pattern = own ?? this.#file["hand-ins"];
    // One mistake in the class's pattern is reported once.
    const first = Object.keys(this.#file.exercises)[0] === id;
    if (own !== undefined || first) {
      this.#value(own === undefined ? ["hand-ins"] : [...at, "hand-ins"], null, pattern, () =>
        handInPattern(
          pattern,
          students.map((student) => student.known),
          known,
        ),
      );
    }
    const { due } = typed;
    const tasks = Object.entries(typed.tasks);
    if (tasks.length === 0) this.#refuse(`the exercise "${id}" has no tasks`, [...at, "tasks"]);
    return {
      id,
      title: typed.title ?? null,
      due:
        due === undefined ? null : this.#value([...at, "due"], null, due, () => readDueTime(due)),
      known,
      pattern,
      tasks: tasks.map(([name, task]) => this.#task(name, task, [...at, "tasks", name])),
    };
  }

  #task(id: string, typed: TypedTask, at: ClassPath): ReadyTask {
    this.#id(id, "task", at);
    const brief: Record<string, string | number> = {};
    for (const [key, kind] of Object.entries(BRIEF_KEYS)) {
      const value = typed[key as keyof typeof BRIEF_KEYS];
      if (value === undefined) continue;
      const read = this.#value([...at, key], kind, value, (text) => readyBrief({ [key]: text }));
      if (read) brief[key] = value;
    }
    const { files = null } = typed;
    if (files !== null) this.#value([...at, "files"], null, files, () => picomatch(files));
    if (files !== null && typed.by !== undefined) {
      this.#refuse(`"${id}" is recognised by its files; leave out "by"`, [...at, "by"]);
    }
    return {
      id,
      title: typed.title ?? null,
      brief: brief as Brief,
      frames: typed.frames ?? 1,
      files,
      by: files === null ? (typed.by ?? "order") : null,
    };
  }

  #levels(): readonly ReadyLevel[] {
    const { levels } = this.#file;
    if (levels === undefined) return USUAL_LEVELS;
    const entries = Object.entries(levels);
    const ready = entries.map(([name, typed]): ReadyLevel => {
      const at = ["levels", name];
      this.#id(name, "level", at);
      const word = String(typed).trim().toLowerCase();
      if (word === "tolerance" || word === "any") return { name, limit: word };
      const limit = this.#value(at, "stops", typed, (text) => limitOf(text));
      return { name, limit: limit ?? "any" };
    });
    const [last] = ready.slice(-1);
    if (last?.limit !== "any") {
      this.#refuse('the last level needs "any", so that every miss has a level', ["levels"]);
    }
    for (const [i, { name, limit }] of ready.entries()) {
      const before = ready[i - 1]?.limit;
      const rises =
        limit === "tolerance"
          ? i === 0
          : limit === "any"
            ? i === ready.length - 1
            : typeof before !== "number" || before < limit;
      if (!rises) {
        this.#refuse(
          `"${name}" is out of order; begin with the best level, and let each allow more than the one before`,
          ["levels", name],
        );
      }
    }
    return ready;
  }

  #id(id: string, what: string, at: ClassPath): void {
    if (ID_FORM.test(id) && id.trim() === id) return;
    this.#refuse(
      `"${id}" cannot be a ${what}; use up to 40 letters, digits, spaces, dots or hyphens`,
      at,
    );
  }

  /** A value as its reader gives it; null where the reader refuses, which is kept with the place. */
  #value<T>(
    at: ClassPath,
    kind: TypedKind | null,
    typed: string | number,
    read: (text: string | number) => T,
  ): T | null {
    try {
      return read(typed);
    } catch (error) {
      const meant = kind === null ? null : likelyMeant(kind, typed, read);
      const mended = meant === null ? null : this.#document.lineWith(at, yamlText(meant));
      const place = this.#document.positionOf(at);
      this.problems.push(this.#document.refusal((error as Error).message, place, mended));
      return null;
    }
  }

  #refuse(what: string, at: ClassPath): void {
    const place = this.#document.positionOf(at) ?? { line: 1, column: 1 };
    this.problems.push(this.#document.refusal(what, place));
  }
}

/** An error up to which a level is reached: stops above 0. */
function limitOf(typed: string | number): number {
  const stops = typeof typed === "number" ? typed : parseStops(typed);
  if (stops > 0 && stops <= 20) return stops;
  throw new Error(`Expected stops above 0, tolerance or any for a level but received "${typed}"`);
}
