import { z } from "zod";
import { type FrameResult, SCHEMA_VERSION } from "../model/result.ts";
import { SLIP_VERSION, type Slip } from "../model/slip.ts";

const sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** Longest name of an exercise, a task or a region; far beyond what people write. */
const MOST_CHARACTERS = 2000;

/** Most pictures of a slip. */
const MOST_FRAMES = 1000;

const name = z.string().max(MOST_CHARACTERS);

/** Enough of a row to recognise it; the results' schema describes the rest. */
export const slipRowSchema: z.ZodType<FrameResult> = z.looseObject({
  file: z.string(),
  exposure: z.unknown(),
  verdict: z.enum(["over", "under", "within", "undecided"]).nullable(),
  fall: z.looseObject({ stops: z.number() }).nullable(),
  notes: z.array(z.looseObject({ code: z.string(), message: z.string() })),
  failure: z.looseObject({ code: z.string(), message: z.string() }).nullable(),
}) as unknown as z.ZodType<FrameResult>;

const frame = z.strictObject({
  task: name,
  sha256: sha256.describe("Of the file's bytes"),
  bytes: z.int().min(0),
  region: name.nullable().describe("The region that was graded; null where nothing was"),
  regionFrom: z.enum(["exercise", "student", "file"]).describe("Who chose the region"),
  predictedStops: z.number().min(-20).max(20).nullable().describe("What the student expected"),
  row: slipRowSchema.nullable(),
});

/** The schema of a slip. */
export const slipSchema: z.ZodType<Slip> = z.strictObject({
  slip: z.literal(SLIP_VERSION),
  schemaVersion: z.literal(SCHEMA_VERSION),
  signed: z.literal(false).describe("Anybody can change a slip"),
  about: name,
  exercise: name,
  exerciseSha256: sha256.describe("Of the exercise as the page had it"),
  student: z.string().min(1).max(80).nullable(),
  savedAt: z.iso.datetime().describe("By the clock of the student's device"),
  tonefall: z.string().max(80),
  verdictHidden: z.boolean(),
  frames: z.array(frame).max(MOST_FRAMES),
});
