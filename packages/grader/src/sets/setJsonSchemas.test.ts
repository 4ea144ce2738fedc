import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { classJsonSchema, markedJsonSchema } from "../classes/classJsonSchemas.ts";
import { progressJsonSchema } from "../classes/progress/progressSchema.ts";
import { slipJsonSchema } from "../classes/slipJsonSchema.ts";
import { lessonJsonSchema } from "../expose/lessonSchema.ts";
import { kitJsonSchema } from "../kit/kitJsonSchema.ts";
import { checkSet } from "./checkSet.ts";
import { checkJsonSchema, setJsonSchema } from "./setJsonSchemas.ts";

const SCHEMAS = {
  "set.schema.json": setJsonSchema(),
  "check.schema.json": checkJsonSchema(),
  "kit.schema.json": kitJsonSchema(),
  "progress.schema.json": progressJsonSchema(),
  "class.schema.json": classJsonSchema(),
  "marked.schema.json": markedJsonSchema(),
  "slip.schema.json": slipJsonSchema(),
  "lesson.schema.json": lessonJsonSchema(),
} as const;

const LESSON = new URL("../../../../samples/lessons/slip.yaml", import.meta.url);
const HARBOUR = new URL("../../../../samples/harbour/set.yaml", import.meta.url);

describe.each(Object.entries(SCHEMAS))("%s", (name, made) => {
  const path = new URL(`../../schema/${name}`, import.meta.url);
  // After a change on purpose: TONEFALL_WRITE_SCHEMAS=1 npx vitest run setJsonSchemas, then npm run fix.
  if (process.env["TONEFALL_WRITE_SCHEMAS"]) {
    writeFileSync(path, `${JSON.stringify(made, null, 2)}\n`);
  }

  test("is published as the code has it", () => {
    expect(JSON.parse(readFileSync(path, "utf8"))).toEqual(JSON.parse(JSON.stringify(made)));
  });
});

describe("another validator", () => {
  const ajv = new Ajv2020({ allErrors: true, allowUnionTypes: true });
  const validSet = ajv.compile(SCHEMAS["set.schema.json"]);
  const validCheck = ajv.compile(SCHEMAS["check.schema.json"]);

  test("accepts the harbour set, and refuses what it does not know or what says two things at once", () => {
    const set = parse(readFileSync(HARBOUR, "utf8"));
    expect(validSet(set), JSON.stringify(validSet.errors)).toBe(true);
    const withClaim = (claim: object): unknown => ({
      set: "x",
      frames: { a: { file: "a.jpg", claims: [claim] } },
    });
    expect(validSet(withClaim({ falls: { place: 0 } }))).toBe(true);
    expect(validSet(withClaim({ falls: { place: 0 }, unclipped: {} }))).toBe(false);
    expect(validSet(withClaim({ falls: { palce: 0 } }))).toBe(false);
    expect(validSet(withClaim({}))).toBe(false);
  });

  test("accepts the lesson of the samples, and refuses a key that it does not know", () => {
    const valid = ajv.compile(SCHEMAS["lesson.schema.json"]);
    const lesson = parse(readFileSync(LESSON, "utf8"));
    expect(valid(lesson), JSON.stringify(valid.errors)).toBe(true);
    expect(valid({ ...lesson, frames: [{ "as-metred": "spot" }] })).toBe(false);
  });

  test("accepts what a check gives", async () => {
    const result = await checkSet(fileURLToPath(HARBOUR), { shard: { index: 1, of: 8 } });
    const document = JSON.parse(JSON.stringify(result));
    expect(validCheck(document), JSON.stringify(validCheck.errors)).toBe(true);
    expect(validCheck({ ...document, surprise: 1 })).toBe(false);
  });
});
