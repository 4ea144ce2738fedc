import { z } from "zod";
import type { ClassFile } from "./classFile.ts";

/*
 * The form of a class file. readClass reads the texts and resolves the names. The published JSON Schema is made from this, so
 * any validator of JSON Schema checks the same things.
 */

/** Longer codes and IDs do not fit a table. */
export const LONGEST_ID = 40;

/** Codes, IDs and levels have no slashes, braces or control characters: they stand in paths, patterns and tables. */
export const ID_FORM: RegExp = /^[^\p{Cc}\p{Cf}\p{Zl}\p{Zp}/\\{}*]{1,40}$/u;

const text = (what: string): z.ZodString => z.string().min(1).max(200).describe(what);
const stopsOrText = (what: string): z.ZodType<string | number> =>
  z.union([z.number(), z.string()]).describe(what);
const code = z
  .string()
  .min(1)
  .max(LONGEST_ID)
  .describe("a code such as s01; in quotes where it is all digits");

const task = z
  .strictObject({
    title: text("For people").optional(),
    place: stopsOrText(
      'A tone (snow), stops (-2), a range (1.5..2.3), a reflectance ("36%") or a zone (VI)',
    ).optional(),
    region: z.string().describe('Such as spot, or "box:0.3,0.3,0.4,0.4" in quotes').optional(),
    tolerance: stopsOrText("Stops, such as 1/3").optional(),
    basis: z.string().describe("rendered, scene or settings").optional(),
    transfer: z.string().describe("linear, or gamma 2.2").optional(),
    frames: z.int().min(1).max(100).describe("how many frames answer it, from 1 to 100").optional(),
    files: text('Glob of the files that answer it, such as "*hull*"').optional(),
    by: z
      .enum(["keyword", "order"])
      .describe(
        "keyword: pictures with the keyword tonefall:task=ID; order: the other files by name",
      )
      .optional(),
  })
  .describe("keys such as place, region and files");

const exercise = z
  .strictObject({
    title: text("For people").optional(),
    due: text("2025-06-14, 2025-06-14 18:00, or 2025-06-14T18:00+02:00").optional(),
    folder: text("What stands for {exercise} where that is not its ID").optional(),
    "hand-ins": text("Where its hand-ins lie, where that differs").optional(),
    tasks: z
      .record(z.string(), task)
      .describe("tasks by ID, each with its brief, such as tar: { place: tar, region: spot }"),
  })
  .describe("keys such as due and tasks");

/** The schema of a class file. */
export const classFileSchema: z.ZodType<ClassFile> = z.strictObject({
  $schema: z.string().optional(),
  class: text("The class's name, for people"),
  students: z
    .union([z.array(code).max(1000), z.record(z.string(), z.string().max(200).nullable())])
    .describe(
      "a list of codes such as [s01, s02], or codes with what stands for them in names of folders and files",
    ),
  names: text("Path of the names file: a mapping from codes to names").optional(),
  folder: text("The folder of all hand-ins, from the class file's").optional(),
  "hand-ins": text("where hand-ins lie, such as {student}/{exercise}"),
  exercises: z
    .record(z.string(), exercise)
    .describe("exercises by ID in the order of the term, each with its tasks"),
  levels: z
    .record(z.string(), stopsOrText("stops, tolerance or any"))
    .describe("levels, the best first, each with the error up to which it is reached")
    .optional(),
});
