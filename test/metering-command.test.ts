import { readFileSync } from "node:fs";
import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { Ajv2020 } from "ajv/dist/2020.js";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF, newFolder, picture } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";

const SCHEMA = new URL("../packages/grader/schema/results.schema.json", import.meta.url);

let folder = "";

/** Runs `tonefall meter` in the folder of these tests. */
const meter = (...args: readonly string[]): Promise<Run> =>
  runHere(["meter", ...args], { cwd: folder });

beforeAll(async () => {
  folder = await newFolder();
  await mkdir(join(folder, "shoot"));
  // Left half one stop over middle grey, right half two under; the spot sees both.
  await picture(120, 80, (x) => (x < 60 ? [162, 162, 162] : [60, 60, 60]))
    .withExif(METERED_EXIF)
    .png()
    .toFile(join(folder, "shoot", "door.png"));
  await flat(118)
    .png()
    .toFile(join(folder, "shoot", "plain.png"));
  await writeFile(join(folder, "shoot", "zero.jpg"), "");
});
afterAll(() => rm(folder, { recursive: true }));

describe("tonefall meter", () => {
  test("json: every pattern's reading beside the frame's record, fall and light, by the published schema", async () => {
    const { code, stdout } = await meter("shoot", "--region", "box:0,0,0.5,1", "-f", "json");
    expect(code).toBe(3);
    const document = JSON.parse(stdout);
    const ajv = new Ajv2020({ allErrors: true, allowUnionTypes: true });
    const validate = ajv.compile(JSON.parse(readFileSync(SCHEMA, "utf8")));
    validate(document);
    expect(validate.errors ?? []).toEqual([]);

    const [door, plain, zero] = document.frames;
    expect(door).toMatchObject({
      file: "shoot/door.png",
      basis: "rendered",
      exposure: { meteringPattern: { value: "spot" }, iso: { value: 400 } },
      light: { k: 12.5, plausible: true },
      split: null,
    });
    expect(door.light.ev100).toBeCloseTo(10, 6);
    expect(door.readings.map(({ pattern }: { pattern: string }) => pattern)).toEqual([
      "spot",
      "partial",
      "centre-weighted",
      "average",
      "multi-segment",
    ]);
    const average = Math.log2((2 ** 1.0 + 2 ** -1.99) / 2);
    expect(door.readings[3].stops).toBeCloseTo(average, 1);
    expect(door.readings[3].fallIfFollowed.stops).toBeCloseTo(1 - average, 1);
    expect(plain.light).toBeNull();
    expect(plain.readings).toHaveLength(5);
    expect(zero).toMatchObject({ failure: { code: "empty-file" }, readings: [], light: null });

    const [first] = door.readings;
    for (const change of [{ surprise: 1 }, { pattern: "matrix" }, { estimate: null }]) {
      const readings = [{ ...first, ...change }];
      expect(validate({ ...document, frames: [{ ...door, readings }] })).toBe(false);
    }
  });

  test("the spot goes where --spot says, in the size --spot-size says", async () => {
    const spotOf = async (...args: string[]): Promise<number> => {
      const { stdout } = await meter("shoot/door.png", "-f", "ndjson", ...args);
      return JSON.parse(stdout).readings[0].stops;
    };
    expect(await spotOf("--spot", "0.25,0.5")).toBeCloseTo(1, 1);
    expect(await spotOf("--spot", "0.8, 0.5", "--spot-size", "1%")).toBeCloseTo(-2, 1);
    const central = await spotOf();
    expect(central).toBeGreaterThan(-1.9);
    expect(central).toBeLessThan(0.9);
    expect(await spotOf("--spot-size", "0.03")).toBe(central);
  });

  test("the table tells reading, fall if followed, split and light in 80 columns", async () => {
    const { stdout } = await meter("shoot", "--region", "box:0,0,0.5,1", "--place", "0");
    for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
    expect(stdout).toMatch(/door\.png\s+\+1\.01\s+spot \*/);
    expect(stdout).toMatch(/average\s+\+0\.18\s+\+0\.83/);
    expect(stdout).toMatch(/multi-segment ~/);
    // Compensation -2/3 was set; the tone is one stop over, so -1 2/3 would have landed it.
    expect(stdout).toMatch(/door\.png\s+\+1\.01\s+left by \+0\.84\s+-0\.67\s+-1\.67/);
    expect(stdout).toMatch(/door\.png\s+EV 10\.0, 128 cd\/m²; as for just after sunset/);
    expect(stdout).toMatch(/zero\.jpg\s+The file is empty/);
    expect(stdout).not.toContain("\u001b");
    expect(stdout).not.toMatch(/undefined|NaN|null/);
  });

  test("csv has a row for each pattern", async () => {
    const { stdout } = await meter("shoot", "-f", "csv", "--columns", "all");
    const rows = parse(stdout, { columns: true }) as Record<string, string>[];
    expect(rows).toHaveLength(11);
    expect(
      rows.filter(({ recorded }) => recorded === "true").map(({ pattern }) => pattern),
    ).toEqual(["spot"]);
    expect(rows.filter(({ estimate }) => estimate === "true")).toHaveLength(2);
    expect(Number(rows[8]?.["reading_stops"])).toBeCloseTo(0.0093, 3);
    expect(rows[10]).toMatchObject({ pattern: "", reading_stops: "", failure: "empty-file" });
  });

  test("markdown, and to a file", async () => {
    const { code, stdout } = await meter("shoot/door.png", "-f", "markdown", "-o", "door.md");
    expect([code, stdout]).toEqual([0, ""]);
    const text = await readFile(join(folder, "door.md"), "utf8");
    expect(text).toMatch(/^\| shoot\/door\.png \| .* \| spot, recorded \| /m);
    expect(text).toMatch(/multi-segment, estimate/);
  });

  test("a brief file says what the subject was", async () => {
    await writeFile(
      join(folder, "brief.yaml"),
      '"door.*": { place: -1, region: "box:0,0,0.5,1" }\n',
    );
    const { stdout } = await meter("shoot", "--brief", "brief.yaml", "-f", "json", "-t", "1/2");
    const [door, plain] = JSON.parse(stdout).frames;
    expect(door).toMatchObject({
      placement: { from: -1 },
      tolerance: 0.5,
      region: "box:0,0,0.5,1",
    });
    expect(door.split.wantedCompensationStops.stops).toBeCloseTo(-2 / 3 - 2, 1);
    expect(plain).toMatchObject({ placement: null, region: "whole" });
  });

  test.each([
    { args: ["--spot", "2,0.5"], says: "0 to 1" },
    { args: ["--spot", "0.5"], says: "two fractions" },
    { args: ["--spot", "0.5,,"], says: "two fractions" },
    { args: ["--spot-size", "0"], says: "share" },
    { args: ["--spot-size", "130%"], says: "share" },
    { args: ["--place", "nosuchtone"], says: "bad-place" },
    { args: ["--region", "blob"], says: "bad-region" },
  ])("refuses $args with one clear line and code 2", async ({ args, says }) => {
    const { code, stdout, stderr } = await meter("shoot", ...args);
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(says);
    expect(stderr.trimEnd().split("\n").length).toBeLessThanOrEqual(2);
    expect(stderr).not.toContain("    at ");
  });

  test("--help has examples and fits 80 columns", async () => {
    const { code, stdout } = await meter("--help");
    expect(code).toBe(0);
    expect(stdout).toContain("tonefall meter hull.jpg --region spot");
    for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
  });
});
