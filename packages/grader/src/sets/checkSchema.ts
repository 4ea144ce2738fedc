import { z } from "zod";
import {
  ALLOWANCES,
  CHECK_VERSION,
  type CheckResult,
  OUTCOMES,
  ROW_KINDS,
} from "../model/checkResult.ts";

const count = z.int().min(0);
const sha256 = z.string().regex(/^[0-9a-f]{64}$/);
const position = z.int().min(1);

const stops = z.strictObject({
  basis: z.enum(["settings", "rendered", "scene"]),
  from: z.number().nullable().describe("Lower end of the claim, stops; null where it is open"),
  to: z.number().nullable().describe("Upper end of the claim, stops; null where it is open"),
  measured: z.number(),
  bound: z.enum(["at least", "at most"]).nullable(),
  uncertainty: z.number().min(0).describe("One standard deviation, stops"),
  tolerance: z.number().min(0),
});

const row = z.strictObject({
  id: z.string(),
  kind: z.enum(ROW_KINDS),
  frames: z.array(z.string()),
  outcome: z.enum(OUTCOMES),
  code: z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/),
  expected: z.string(),
  measured: z.string().nullable(),
  stops: stops.nullable(),
  sentence: z.string().min(1),
  line: position,
  column: position,
  fails: z.boolean().describe("Whether it makes the check fail"),
  unit: count.describe("Place of its frame or relation in the set; shards are merged by it"),
});

const set = z.strictObject({
  file: z.string(),
  name: z.string(),
  sha256,
  allow: z.array(z.enum(ALLOWANCES)),
  rows: z.array(row),
});

/** The schema of what `tonefall check -f json` writes. */
export const checkResultSchema: z.ZodType<CheckResult> = z.strictObject({
  schemaVersion: z.literal(CHECK_VERSION),
  sets: z.array(set),
  shard: z
    .strictObject({
      index: position,
      of: position,
      units: count.describe("Frames, relations and folders of all sets"),
      first: position.describe("Place of the part's first among them"),
      last: count.describe("Place of its last; one less than first where the part has none"),
      sum: z.string(),
    })
    .nullable(),
  summary: z.strictObject({
    claims: count,
    kept: count,
    missed: count,
    undecided: count,
    notRun: count,
    failing: count,
  }),
  view: z
    .looseObject({})
    .describe(
      "What a report shows of the pictures, kept by --for-report; its shape may change with any version",
    )
    .exactOptional(),
});
