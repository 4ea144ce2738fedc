import { copyFileSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { compareReadings, readExposure, secondReading } from "@tonefall/exif-reader";
import { readFrame } from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { exifSegment, jpegFixture } from "../packages/exif-reader/test/containerFixtures.ts";
import { tiffFixture } from "../packages/exif-reader/test/tiffFixture.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");
const SCHEMA = new URL("../packages/grader/schema/results.schema.json", import.meta.url);

/** An aperture of 0, as lenses without contacts record it, beside its APEX value: f/4 for us, f/0 for exifr. */
const ODD = jpegFixture(
  exifSegment(
    tiffFixture({
      exif: [
        [0x829a, "RATIONAL", [[1, 60]]],
        [0x829d, "RATIONAL", [[0, 10]]],
        [0x8827, "SHORT", [400]],
        [0x9202, "RATIONAL", [[4, 1]]],
        [0x9204, "SRATIONAL", [[-1, 3]]],
        [0x9207, "SHORT", [3]],
      ],
    }),
  ),
);

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
  writeFileSync(join(folder, "odd.jpg"), ODD);
  copyFileSync(join(HARBOUR, "09-bracket-middle.jpg"), join(folder, "plain.jpg"));
});
afterAll(() => rmSync(folder, { recursive: true }));

const read = (...args: string[]) => runHere(["read", ...args], { cwd: folder });

describe("tonefall read --second-reader", () => {
  test("json holds the other reader's answers by its schema, and our values as without it", async () => {
    const files = ["odd.jpg", "plain.jpg", "-f", "json"];
    const { code, stdout } = await read(...files, "--second-reader");
    expect(code).toBe(0);
    const document = JSON.parse(stdout);
    const validate = new Ajv2020({ allErrors: true, allowUnionTypes: true }).compile(
      JSON.parse(readFileSync(SCHEMA, "utf8")),
    );
    expect(validate(document), JSON.stringify(validate.errors)).toBe(true);
    const [odd, plain] = document.frames;
    expect(odd.secondReading.fields.aperture).toMatchObject({
      value: 0,
      agreement: "differs",
      why: { code: "apex" },
    });
    expect(odd.exposure.aperture.value).toBe(4);
    const agreements = Object.values<{ agreement: string }>(plain.secondReading.fields);
    expect(agreements.map(({ agreement }) => agreement)).toEqual(Array(5).fill("agrees"));
    for (const frame of document.frames) delete frame.secondReading;
    expect(document).toEqual(JSON.parse((await read(...files)).stdout));
  });

  test("the table says where the two differ, and why", async () => {
    const { stdout } = await read("odd.jpg", "plain.jpg", "--second-reader");
    expect(stdout).toMatch(/odd\.jpg .* differs:/);
    expect(stdout).toMatch(/plain\.jpg .* agrees/);
    expect(stdout.replace(/\s+/g, " ")).toContain(
      "odd.jpg: exifr reads f/0 for the aperture, Tonefall f/4. Tonefall computes it from Exif ApertureValue",
    );
    expect(stdout).toContain("2 frames: exifr differs in 1");
    expect((await read("odd.jpg")).stdout).not.toContain("exifr");
  });

  test("markdown has a column more", async () => {
    const { stdout } = await read("odd.jpg", "-f", "markdown", "--second-reader");
    expect(stdout).toContain("| exifr |");
    expect(stdout).toContain("| differs: aperture |");
  });

  test("csv has columns more, and the same before them", async () => {
    const { stdout } = await read(
      ...["odd.jpg", "plain.jpg", "-f", "csv", "--columns", "all", "--second-reader"],
    );
    const [odd, plain] = parse(stdout, { columns: true }) as Record<string, string>[];
    expect(odd).toMatchObject({
      aperture: "4",
      second_aperture: "0",
      second_shutter_seconds: String(1 / 60),
      second_iso: "400",
      second_compensation_stops: String(-1 / 3),
      second_metering_pattern: "spot",
      second_differs: "aperture",
    });
    expect(plain).toMatchObject({ second_aperture: "8", second_differs: "" });
    const { stdout: without } = await read(
      ...["odd.jpg", "plain.jpg", "-f", "csv", "--columns", "all"],
    );
    for (const [i, line] of without.trim().split("\r\n").entries()) {
      expect(stdout.split("\r\n")[i]?.startsWith(line)).toBe(true);
    }
  });
});

describe("a record claim of tonefall check", () => {
  const sentenceOf = async (file: string, record: object): Promise<[string, string]> => {
    const set = { set: "two readers", frames: { one: { file, claims: [{ record }] } } };
    writeFileSync(join(folder, "set.json"), JSON.stringify({ ...set, allow: ["extra-file"] }));
    const { stdout } = await runHere(["check", "set.json", "-f", "json"], { cwd: folder });
    const rows = JSON.parse(stdout).sets[0].rows as Record<string, string>[];
    const row = rows.find(({ kind }) => kind === "record");
    return [String(row?.["outcome"]), String(row?.["sentence"])];
  };

  test("says what the second reader reads of a claimed setting, and stands", async () => {
    const [outcome, sentence] = await sentenceOf("odd.jpg", { aperture: 4, iso: 400 });
    expect(outcome).toBe("kept");
    expect(sentence).toContain("exifr reads f/0 for the aperture, Tonefall f/4.");
  });

  test("says nothing of settings that it does not claim, nor where the two agree", async () => {
    expect((await sentenceOf("odd.jpg", { iso: 400 }))[1]).not.toContain("exifr");
    expect((await sentenceOf("plain.jpg", { aperture: 8 }))[1]).not.toContain("exifr");
  });
});

test("readFrame compares only when asked, from a path, a URL or bytes alike", async () => {
  const path = join(folder, "odd.jpg");
  const asked = { secondReader: true };
  const { secondReading: fromPath } = await readFrame(path, undefined, asked);
  expect(fromPath?.fields?.aperture.agreement).toBe("differs");
  for (const source of [new URL(`file://${path}`), ODD]) {
    expect((await readFrame(source, undefined, asked)).secondReading).toEqual(fromPath);
  }
  expect(await readFrame(path)).not.toHaveProperty("secondReading");
});

/** How often each agreement occurs over files, with what is `not-known`. */
async function counted(files: readonly string[]) {
  const counts = { agrees: 0, differs: 0, "only-first": 0, "only-second": 0, neither: 0 };
  const unexplained: string[] = [];
  for (const file of files) {
    const record = await readExposure(file).catch(() => null);
    if (!record) continue;
    const { fields } = compareReadings(record, await secondReading(file));
    for (const [setting, { agreement, why }] of Object.entries(fields ?? {})) {
      counts[agreement] += 1;
      if (why?.code === "not-known") unexplained.push(`${file} ${setting}`);
    }
  }
  return { counts, unexplained };
}

test("on every sample the two readers agree on every setting", async () => {
  const files = readdirSync(HARBOUR).filter((name) => /\.(jpg|dng)$/.test(name));
  const { counts } = await counted(files.map((name) => join(HARBOUR, name)));
  expect(counts).toEqual({
    agrees: 5 * files.length,
    differs: 0,
    "only-first": 0,
    "only-second": 0,
    neither: 0,
  });
  expect(files.length).toBeGreaterThanOrEqual(30);
});

describe.skipIf(!hasCorpus)(`real photographs${skippedBecause}`, () => {
  test("where both readers have a value, at least 99 % agree, and almost every other is explained", async () => {
    const files = readdirSync(corpusFile("."), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && !entry.parentPath.includes("malformed"))
      .map((entry) => join(entry.parentPath, entry.name));
    const { counts, unexplained } = await counted(files);
    const both = counts.agrees + counts.differs;
    expect(both).toBeGreaterThan(600);
    expect(counts.agrees / both).toBeGreaterThanOrEqual(0.99);
    // A Panasonic raw file whose ISO stands under a tag of its own.
    expect(unexplained.map((entry) => entry.replace(/^.*\//, ""))).toEqual(["Panasonic.rw2 iso"]);
  });
});
