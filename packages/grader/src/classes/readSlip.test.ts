import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { GraderError } from "../model/errors.ts";
import { beginsSlip, SLIP_ABOUT, type Slip } from "../model/slip.ts";
import { gradeFrame } from "../run/gradeFrame.ts";
import { heldText } from "../run/write/heldText.ts";
import { readSlip } from "./readSlip.ts";
import { slipJsonSchema } from "./slipJsonSchema.ts";

const SHA = "0".repeat(64);

const SLIP: Slip = {
  slip: 1,
  schemaVersion: 1,
  signed: false,
  about: SLIP_ABOUT,
  exercise: "Dark, middle, light",
  exerciseSha256: SHA,
  student: "a17",
  savedAt: "2026-11-27T18:00:00.000Z",
  tonefall: "0.1.0",
  verdictHidden: false,
  frames: [
    {
      task: "dark-*.jpg",
      sha256: SHA,
      bytes: 12,
      region: "circle:0.5,0.5,0.1",
      regionFrom: "student",
      predictedStops: -1.5,
      row: await gradeFrame(new Uint8Array(), { place: -2 }, { name: "dark-1.jpg" }),
    },
  ],
};

const TEXT = `${JSON.stringify(SLIP, null, 2)}\n`;

function refusalOf(text: string): GraderError {
  try {
    readSlip(text, "a17.json");
  } catch (error) {
    if (error instanceof GraderError) return error;
  }
  throw new Error("Expected a refusal");
}

describe("a slip", () => {
  test("is read as it was written, and known by its beginning", () => {
    expect(readSlip(TEXT, "a17.json")).toEqual(JSON.parse(TEXT));
    expect(readSlip(`\uFEFF${TEXT}`, "a17.json")).toEqual(JSON.parse(TEXT));
    expect(beginsSlip(TEXT)).toBe(true);
    expect(beginsSlip('{"schemaVersion":1,"frames":[]}')).toBe(false);
    // No output is ever written over one.
    expect(heldText(TEXT)).toMatchObject({ what: "a slip", kind: null });
  });

  test("follows its published schema, rows included", () => {
    const ajv = new Ajv2020({
      allErrors: true,
      allowUnionTypes: true,
      formats: { "date-time": true },
    });
    const results = readFileSync(
      new URL("../../schema/results.schema.json", import.meta.url),
      "utf8",
    );
    ajv.addSchema(JSON.parse(results), "results.schema.json");
    const valid = ajv.compile(slipJsonSchema());
    expect(valid(JSON.parse(TEXT)), JSON.stringify(valid.errors)).toBe(true);
    const [frame] = SLIP.frames;
    const other = { ...SLIP, frames: [{ ...frame, row: { ...frame?.row, verdict: "good" } }] };
    expect(valid(JSON.parse(JSON.stringify(other)))).toBe(false);
  });

  test.each([
    ["cut short", TEXT.slice(0, 300), /not complete JSON/],
    ["of another version", TEXT.replace('"slip": 1', '"slip": 2'), /at slip/],
    ["that says it is signed", TEXT.replace('"signed": false', '"signed": true'), /at signed/],
    [
      "with a hash that is none",
      TEXT.replace(/"sha256": "0/, '"sha256": "x'),
      /at frames\.0\.sha256/,
    ],
    ["with more than belongs in it", TEXT.replace('"signed"', '"owner": "x", "signed"'), /owner/],
    ["that is a list", "[]", /it is not one/],
  ])("%s is refused with its place", (_what, text, message) => {
    const { code, message: words } = refusalOf(text);
    expect(code).toBe("bad-slip");
    expect(words).toMatch(message);
  });
});
