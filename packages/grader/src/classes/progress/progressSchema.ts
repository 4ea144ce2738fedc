import { z } from "zod";
import type { CauseCode } from "../../model/cause.ts";
import { PROGRESS_VERSION, type TermProgress } from "./termProgress.ts";

const count = z.int().min(0);
const size = z.number().min(0).describe("Distance from the placement, stops");
const files = z.array(z.string());
const cause = z.string().regex(/^[a-z]+(-[a-z]+)*$/) as unknown as z.ZodType<CauseCode>;

const trend = z.strictObject({
  kind: z
    .enum(["improves", "worsens", "no-clear-change", "cannot-tell-yet"])
    .describe("Of the size of the miss, whichever its side"),
  exercises: count,
  frames: count,
  eachTime: z.enum(["smaller", "larger"]).nullable(),
  stopsPerExercise: z
    .strictObject({ estimate: z.number(), from: z.number(), to: z.number() })
    .nullable()
    .describe("Robust slope with its interval, stops; negative is better"),
  fitted: z.strictObject({ first: size, last: size }).nullable(),
});

const studentExercise = z.strictObject({
  exercise: z.string(),
  frames: count,
  held: count,
  missed: count,
  errorStops: z.number().nullable().describe("Median signed error, stops; positive is lighter"),
  missStops: z.strictObject({ median: size, least: size, most: size }).nullable(),
  cause: cause.nullable(),
});

const recurring = z.strictObject({
  cause,
  exercises: z.array(z.string()),
  of: count,
  files,
});

const leaning = z.strictObject({
  tones: z.enum(["all", "dark", "light"]).describe("The tones that keep to a side, by placement"),
  side: z.enum(["lighter", "darker"]),
  errorStops: z.number().describe("Median signed error, stops; positive is lighter"),
  exercises: z.array(z.string()),
  of: count,
  habit: z.boolean().describe("Too regular for an accident; otherwise a fact of these exercises"),
  files,
});

const improvement = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("cause-gone"), cause, files }),
  z.strictObject({
    kind: z.literal("closest-yet"),
    firstStops: size,
    lastStops: size,
    exercise: z.string(),
  }),
  z.strictObject({ kind: z.literal("all-held"), exercise: z.string(), files }),
]);

const student = z.strictObject({
  student: z.string().describe("The code; never a name"),
  exercises: z.array(studentExercise),
  trend,
  recurring: recurring.nullable(),
  leaning: leaning.nullable(),
  improved: z.array(improvement),
});

const shared = { cause, students: count, of: count };

const exercise = z.strictObject({
  exercise: z.string(),
  title: z.string().nullable(),
  due: z.string().nullable(),
  students: count,
  missing: count,
  missStops: z.strictObject({ median: size, lowerQuartile: size, upperQuartile: size }).nullable(),
  commonestCause: z.strictObject(shared).nullable(),
});

const task = {
  exercise: z.string(),
  task: z.string(),
  missed: count,
  of: count,
  errorStops: z.number(),
  alike: z.boolean(),
};

const topic = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("cause"), ...shared, exercises: z.array(z.string()) }),
  z.strictObject({ kind: z.literal("brief"), ...task }),
  z.strictObject({ kind: z.literal("ask"), students: z.array(z.string()) }),
]);

/** The form of a term's progress. */
const termProgressSchema: z.ZodType<TermProgress> = z.strictObject({
  schemaVersion: z.literal(PROGRESS_VERSION),
  class: z.string(),
  exercises: z.array(exercise),
  students: z.array(student),
  trend,
  missedTasks: z.array(z.strictObject(task)),
  nextLesson: z.array(topic),
});

/** The JSON Schema of what `tonefall class progress -f json` writes, as it is published. */
export function progressJsonSchema(): object {
  return {
    title: "Tonefall class progress, version 1",
    description:
      "What `tonefall class progress --format json` writes. Students are codes, in the order of the class file; missing is null.",
    ...z.toJSONSchema(termProgressSchema),
  };
}
