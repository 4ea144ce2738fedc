import { z } from "zod";
import { FLAG_CODES, MARKED_VERSION, type MarkedClass } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";

const count = z.int().min(0);
const sha256 = z.string().regex(/^[0-9a-f]{64}$/);
const text = z.string();
const code = z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/);
const note = z.strictObject({
  code,
  message: text,
  share: z.number().min(0).max(1).optional(),
});
const bound = z.enum(["at least", "at most"]).nullable();
const verdict = z.enum(["over", "under", "within", "undecided"]).nullable();

/** A graded row, as the results' own schema has it. */
const row = z
  .looseObject({ file: text })
  .meta({ $ref: "results.schema.json#/$defs/gradeRow" }) as unknown as z.ZodType<FrameResult>;

const late = z.strictObject({
  late: z.boolean().nullable().describe("Null where that is not known"),
  hours: z.number().min(0).nullable(),
  capturedAt: text.nullable().describe("Local time as the picture records it"),
  reason: note,
});

const frame = z.strictObject({
  file: text.describe("Path from the folder of all hand-ins, with the student's code"),
  sha256: sha256.nullable().describe("Of the file's bytes"),
  by: z.enum(["keyword", "files", "order", "slip"]).describe("How its task was recognised"),
  beside: text.nullable().describe("The other file of a raw and rendered shot; not graded"),
  from: z.enum(["picture", "slip"]),
  changed: z
    .boolean()
    .nullable()
    .describe("Whether its bytes differ from those marked before; null where it was not marked"),
  late,
  level: text.nullable(),
  row,
});

const level = z.strictObject({
  level: text.nullable().describe("The level that counts"),
  suggested: text.nullable().describe("What the class file's limits suggest"),
  reason: note,
  override: z
    .strictObject({ level: text, why: text.nullable() })
    .nullable()
    .describe("The teacher's level"),
});

const markedRow = z.strictObject({
  student: text.describe("The student's code"),
  task: text,
  frames: z.array(frame),
  missing: count,
  surplus: z.array(text).describe("Files beyond those that the task asks for"),
  shown: text.nullable().describe("The frame that stands for the task"),
  verdict,
  error: z.strictObject({ stops: z.number().describe("Positive is lighter"), bound }).nullable(),
  cause: code.nullable(),
  level,
});

const flag = z.strictObject({
  code: z.enum(FLAG_CODES),
  students: z.array(text),
  files: z.array(text),
  task: text.nullable(),
  message: text,
  evidence: z.array(note),
});

const exercise = z.strictObject({
  id: text,
  title: text.nullable(),
  due: text.nullable(),
  tasks: z.array(
    z.strictObject({
      id: text,
      title: text.nullable(),
      place: text.nullable(),
      region: text,
      tolerance: z.number().nullable(),
      frames: z.int().min(1),
      cautions: z.array(text),
    }),
  ),
  rows: z.array(markedRow).describe("One for every student and task"),
  unasked: z
    .array(z.strictObject({ student: text, file: text }))
    .describe("Files that answer no task"),
  flags: z.array(flag).describe("What the teacher should look at; none accuses anyone"),
  strays: z.array(note).describe("Files of no student or exercise; their paths are left out"),
  summary: z.strictObject({
    rows: count,
    frames: count,
    levels: z.record(z.string(), count),
    withoutLevel: count,
    missing: count,
    surplus: count,
    late: count,
    unreadable: count,
  }),
});

/** The schema of what `tonefall class mark -f json` writes. */
export const markedClassSchema: z.ZodType<MarkedClass> = z.strictObject({
  schemaVersion: z.literal(MARKED_VERSION),
  class: text,
  students: z.array(text).describe("Codes, in the order of the class file"),
  levels: z.array(text).describe("The best first"),
  exercises: z.array(exercise).describe("In the order of the term"),
}) as unknown as z.ZodType<MarkedClass>;
