import { readFileSync } from "node:fs";
import { mkdir, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { PICTURE_EXTENSIONS } from "@tonefall/exif-reader";
import { gradeFrame } from "@tonefall/grader";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { findFrames } from "../packages/grader/src/run/findFrames.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { newFolder } from "./pictures.ts";
import { type RawTiff, rawTiff } from "./raw/rawTiff.ts";

const MOSAIC = 32803;
const LINEAR_RAW = 34892;
const RGB = 2;

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true, force: true }));

describe("a raw file is known by its content, and its preview is never graded", () => {
  test.each<[string, RawTiff, string]>([
    ["Phase One, little-endian", { mark: "IIIITwaR" }, "iiq"],
    ["Phase One, big-endian", { mark: "MMMMRawT" }, "iiq"],
    ["Leaf", { extraTag: 0x8606 }, "mos"],
    ["Samsung", { make: "SAMSUNG", reduced: true, below: MOSAIC }, "srw"],
    ["Hasselblad", { make: "Hasselblad", reduced: true, below: MOSAIC }, "3fr"],
    ["Imacon", { make: "Imacon", reduced: true, below: MOSAIC }, "fff"],
    ["Epson", { make: "SEIKO EPSON CORP.", reduced: true, below: MOSAIC }, "erf"],
    ["Mamiya", { make: "Mamiya-OP Co.,Ltd.", reduced: true, below: MOSAIC }, "mef"],
    [
      "Kodak's compact cameras",
      { make: "EASTMAN KODAK COMPANY", reduced: true, below: MOSAIC },
      "kdc",
    ],
    ["Kodak's reflex cameras", { make: "Kodak", reduced: true, below: MOSAIC }, "dcr"],
    ["a maker without a name here", { make: "Nobody", below: MOSAIC }, "raw"],
    ["a mosaic in the next directory", { below: MOSAIC, chained: true }, "raw"],
    ["linear sensor values", { below: LINEAR_RAW }, "raw"],
  ])("%s", async (_, content, format) => {
    const row = await gradeFrame(rawTiff(content), { place: 0 });
    expect(row.format).toBe(format);
    expect(row.failure?.code).toMatch(/^raw-/);
    expect(row.fall).toBeNull();
  });

  test("a TIFF of pictures alone is graded, whatever lies below the first", async () => {
    for (const content of [{}, { below: RGB }, { below: RGB, chained: true }]) {
      const row = await gradeFrame(rawTiff({ make: "Nobody", ...content }), { place: 0 });
      expect(row).toMatchObject({ format: "tiff", failure: null });
    }
  });

  test("a TIFF named like a raw file is refused, not shown", async () => {
    const path = join(folder, "P0001.IIQ");
    await writeFile(path, rawTiff({}));
    expect(await gradeFrame(path, { place: 0 })).toMatchObject({
      format: "raw",
      fall: null,
      failure: { code: "raw-unsupported" },
    });
  });
});

test("findFrames(folder) takes every kind of raw file", async () => {
  const kinds =
    "dng gpr cr2 cr3 crw nef nrw arw srf sr2 pef orf rw2 rwl raf mrw x3f iiq mos mef 3fr fff erf srw kdc dcr raw";
  const mixed = join(folder, "mixed");
  await mkdir(mixed);
  const names = kinds.split(" ").map((kind, i) => `${i}.${i % 2 ? kind : kind.toUpperCase()}`);
  for (const name of [...names, "notes.txt", "film.mov"]) await writeFile(join(mixed, name), "x");
  const { frames } = await findFrames([mixed]);
  expect(frames.map(({ path }) => path)).toEqual(names.map((name) => join(mixed, name)));
  for (const kind of kinds.split(" ")) expect(PICTURE_EXTENSIONS.has(`.${kind}`)).toBe(true);
});

/** What ExifTool reads, by group and tag. */
type Truth = Readonly<Record<string, unknown>> & { readonly SourceFile: string };

const cameras: readonly Truth[] = hasCorpus
  ? JSON.parse(readFileSync(corpusFile("cameras/truth.json"), "utf8"))
  : [];

/** ExifTool's `-n` prints ten digits. */
const DIGITS_TOLERANCE_STOPS = 1e-6;

/** A CRW records its settings twice, a tenth of a stop apart; LibRaw and ExifTool read one each. */
const CRW_TOLERANCE_STOPS = 0.15;

function expectNear(value: number | null | undefined, truth: number | null, tolerance: number) {
  if (truth === null) expect(value).toBeNull();
  else expect(Math.abs(Math.log2((value ?? 0) / truth))).toBeLessThan(tolerance);
}

describe.skipIf(!hasCorpus)(`pictures straight from cameras${skippedBecause}`, () => {
  test.each(cameras)("$SourceFile is read and graded", async (truth) => {
    const path = corpusFile(`cameras/${truth.SourceFile}`);
    const row = await gradeFrame(path, { place: 0 });
    expect(row.failure).toBeNull();
    expect(row.basis).toBe(/\.crw$/i.test(path) ? "scene" : "rendered");
    expect(Number.isFinite(row.fall?.stops)).toBe(true);
    const number = (tag: string): number | null => (truth[tag] as number | undefined) ?? null;
    const isCrw = "CanonRaw:Make" in truth;
    const group = isCrw ? "Canon" : "ExifIFD";
    const { aperture, shutter, iso, compensation, make } = row.exposure ?? {};
    const tolerance = isCrw ? CRW_TOLERANCE_STOPS : DIGITS_TOLERANCE_STOPS;
    expectNear(aperture?.value, number(`${group}:FNumber`), tolerance);
    expectNear(shutter?.value, number(`${group}:ExposureTime`), tolerance);
    if (!isCrw) {
      expect(iso?.value).toBe(number("ExifIFD:ISO"));
      expect(compensation?.value).toBe(number("ExifIFD:ExposureCompensation"));
    } else expect(iso?.value).toBe(number("Composite:ISO"));
    expect(make?.value).toBe(truth["IFD0:Make"] ?? truth["CanonRaw:Make"]);
  });

  test("an X3F, of which this LibRaw reads no settings, is refused", async () => {
    const row = await gradeFrame(corpusFile("raw/header_only/Sigma.x3f"), { place: 0 });
    expect(row).toMatchObject({ format: "x3f", fall: null });
    expect(row.failure?.code).toMatch(/^raw-/);
  });
});
