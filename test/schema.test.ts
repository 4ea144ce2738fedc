import { readFileSync } from "node:fs";
import { gradeFrame, readFrame, SCHEMA_VERSION, summarise } from "@tonefall/grader";
import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import { beforeAll, describe, expect, test } from "vitest";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { flat, METERED_EXIF } from "./pictures.ts";

const SCHEMA = new URL("../packages/grader/schema/results.schema.json", import.meta.url);

let validate: ValidateFunction;
beforeAll(() => {
  const ajv = new Ajv2020({ allErrors: true, allowUnionTypes: true });
  validate = ajv.compile(JSON.parse(readFileSync(SCHEMA, "utf8")));
});

/** What a reader of the JSON gets: through text and back, so that NaN and undefined show themselves. */
function problems(document: object): unknown {
  validate(JSON.parse(JSON.stringify(document)));
  return validate.errors ?? [];
}

const graded = (frames: Awaited<ReturnType<typeof gradeFrame>>[]): object => ({
  schemaVersion: SCHEMA_VERSION,
  frames,
  summary: summarise(frames),
});

describe("results follow their published schema", () => {
  test.each([
    { name: "measured", brief: {} },
    { name: "judged", brief: { place: "snow", region: "spot", tolerance: "1/2" } },
    { name: "a scene claim", brief: { place: 0, basis: "scene" as const } },
    { name: "settings alone", brief: { place: 0, basis: "settings" as const } },
    { name: "no subject area", brief: { region: "subject-area" } },
  ])("$name", async ({ brief }) => {
    const bytes = await flat(118).withExif(METERED_EXIF).jpeg().toBuffer();
    const frame = await gradeFrame(bytes, brief, { histograms: true });
    expect(problems(graded([frame]))).toEqual([]);
  });

  test("failures", async () => {
    const rows = [
      await gradeFrame(new Uint8Array()),
      await gradeFrame(Buffer.from("words, words, words")),
    ];
    expect(rows.map(({ failure }) => failure?.code)).toEqual(["empty-file", "not-a-picture"]);
    expect(problems(graded(rows))).toEqual([]);
  });

  test("exposure records", async () => {
    const row = await readFrame(await flat(118).withExif(METERED_EXIF).jpeg().toBuffer());
    expect(
      problems({ schemaVersion: 1, frames: [row], summary: { frames: 1, failed: 0 } }),
    ).toEqual([]);
  });

  test("the schema refuses what is not in it", async () => {
    const frame = await gradeFrame(await flat(118).png().toBuffer());
    expect(problems(graded([{ ...frame, surprise: 1 } as typeof frame]))).not.toEqual([]);
    expect(problems(graded([{ ...frame, verdict: "bad" as "over" }]))).not.toEqual([]);
  });

  test.skipIf(!hasCorpus)(`every real photograph${skippedBecause}`, async () => {
    const { files } = JSON.parse(readFileSync(corpusFile("truth.json"), "utf8")) as {
      files: { SourceFile: string }[];
    };
    for (const { SourceFile } of files) {
      const row = await readFrame(corpusFile(SourceFile));
      const document = {
        schemaVersion: 1,
        frames: [row],
        summary: { frames: 1, failed: row.failure ? 1 : 0 },
      };
      expect(problems(document), SourceFile).toEqual([]);
    }
  });
});
