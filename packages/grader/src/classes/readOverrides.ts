import { extname } from "node:path";
import { nearestWord } from "@tonefall/tone-core";
import { z } from "zod";
import { schemaProblem } from "../brief/yaml/schemaProblem.ts";
import { readYamlFile, type YamlDocument, type YamlKind } from "../brief/yaml/yamlDocument.ts";
import type { MarkedLevel } from "../model/markedClass.ts";
import { sameName } from "../model/sameName.ts";
import type { ReadyClass } from "./classFile.ts";
import { fileExists } from "./fileExists.ts";

const OVERRIDES: YamlKind = { what: "a file of levels", code: "bad-class" };

const levelSchema = z
  .union([z.string(), z.strictObject({ level: z.string(), why: z.string().max(500).optional() })])
  .describe("a level such as placed, or { level: placed, why: ... }");

/** The schema of the file in which a teacher gives levels: by exercise, student and task. */
const overridesSchema = z
  .record(z.string(), z.record(z.string(), z.record(z.string(), levelSchema)))
  .describe("exercises, each with students, each with tasks and their levels");

/** The teacher's levels by exercise, student and task. */
export interface Overrides {
  /** Path of the file; it may not exist. */
  readonly path: string;
  /** How many there are. */
  readonly count: number;
  of(exercise: string, student: string, task: string): MarkedLevel["override"];
}

/** Where a teacher's levels for a class stand: `class.levels.yaml` beside `class.yaml`. */
export function overridesPath(classFile: string): string {
  const extension = extname(classFile);
  const stem = classFile.slice(0, classFile.length - extension.length);
  return `${stem}.levels.yaml`;
}

/**
 * Reads the teacher's levels from beside the class file; none where there is no such file.
 *
 * @throws {@link GraderError} `bad-class`, with line and column, for a name or level that the class does not have
 */
export async function readOverrides(ready: ReadyClass): Promise<Overrides> {
  const path = overridesPath(ready.path);
  const given = new Map<string, MarkedLevel["override"]>();
  if (await fileExists(path)) {
    const document = await readYamlFile(path, OVERRIDES);
    for (const [key, override] of overridesIn(document, ready)) given.set(key, override);
  }
  return {
    path,
    count: given.size,
    of: (exercise, student, task) => given.get(keyOf(exercise, student, task)) ?? null,
  };
}

function keyOf(...names: readonly string[]): string {
  return JSON.stringify(names);
}

function* overridesIn(
  document: YamlDocument,
  { exercises, students, levels }: ReadyClass,
): Generator<[string, NonNullable<MarkedLevel["override"]>]> {
  const parsed = overridesSchema.safeParse(document.data ?? {});
  if (!parsed.success) {
    const { what, at, mended } = schemaProblem(parsed.error, overridesSchema, document);
    throw document.refusal(what, at, mended);
  }
  const named = <T>(
    what: string,
    known: readonly T[],
    nameOf: (one: T) => string,
    path: readonly string[],
  ): T => {
    const wanted = path.at(-1) as string;
    const found = known.find((one) => sameName(nameOf(one), wanted));
    if (found !== undefined) return found;
    const nearest = nearestWord(wanted, known.map(nameOf));
    const help = nearest === null ? "" : `; did you mean "${nearest}"?`;
    throw document.refusal(
      `"${wanted}" is not one of this class's ${what}s${help}`,
      placeOf(document, path),
    );
  };
  for (const [exerciseId, byStudent] of Object.entries(parsed.data)) {
    const exercise = named("exercise", exercises, ({ id }) => id, [exerciseId]);
    for (const [code, byTask] of Object.entries(byStudent)) {
      const student = named("student", students, (one) => one.code, [exerciseId, code]);
      for (const [taskId, typed] of Object.entries(byTask)) {
        const path = [exerciseId, code, taskId];
        const task = named("task", exercise.tasks, ({ id }) => id, path);
        const { level, why = null } =
          typeof typed === "string" ? { level: typed } : { why: null, ...typed };
        const known = levels.find(({ name }) => sameName(name, level));
        if (!known) {
          const names = levels.map(({ name }) => name).join(", ");
          throw document.refusal(
            `"${level}" is not a level of this class; the levels are ${names}`,
            document.positionOf(path),
          );
        }
        yield [keyOf(exercise.id, student.code, task.id), { level: known.name, why: why ?? null }];
      }
    }
  }
}

function placeOf(document: YamlDocument, path: readonly string[]) {
  return document.keyPosition(path.slice(0, -1), path.at(-1) as string);
}
