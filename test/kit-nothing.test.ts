import { cp, mkdir, rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { type CameraKit, kitText } from "@tonefall/grader";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";

/** The camera of the samples, whose pictures give contrast as normal. */
const HARBOUR = { make: "Tonefall", model: "Harbour model camera" };

/** Frames of all that `json` is asked of; `csv` and the table are asked of these alone, to save time. */
const SOME = ["07-bracket-minus-2.jpg", "09-bracket-middle.jpg", "27-lit-window-as-metered.jpg"];

let folder = "";
const FORMATS = ["json", "csv", "table"] as const;
type Format = (typeof FORMATS)[number];
const plain: Record<Format, string> = { json: "", csv: "", table: "" };

beforeAll(async () => {
  folder = await newFolder();
  await cp(resolve(import.meta.dirname, "../samples/harbour"), join(folder, "harbour"), {
    recursive: true,
  });
  for (const format of FORMATS) plain[format] = await graded(format);
}, 120_000);
afterAll(() => rm(folder, { recursive: true }));

async function graded(format: Format): Promise<string> {
  const frames = format === "json" ? ["harbour"] : SOME.map((name) => join("harbour", name));
  const { code, stdout, stderr } = await runHere(
    [
      "grade",
      ...frames,
      "--brief",
      "harbour/brief.yaml",
      "-f",
      format,
      ...(format === "csv" ? ["--columns", "all"] : []),
    ],
    { cwd: folder },
  );
  expect([code, stderr]).toEqual([0, ""]);
  return stdout;
}

/** Puts kits beside the samples, in place of any that were there. */
async function kitsBeside(kits: Readonly<Record<string, Partial<CameraKit>>>): Promise<void> {
  const kitsFolder = join(folder, "harbour", "kits");
  await rm(kitsFolder, { recursive: true, force: true });
  await mkdir(kitsFolder);
  for (const [name, own] of Object.entries(kits)) {
    const kit: CameraKit = {
      schemaVersion: 1,
      camera: { make: "Other", model: name },
      style: {},
      iso: null,
      middleGrey: null,
      curve: {
        luminance: [20, 118, 240].map((code) => ({ code, stops: Math.log2(code / 118) })),
      },
      uncertainty: 0.02,
      measured: { how: ["bracket"], frames: 7, on: null },
      ...own,
    };
    await writeFile(join(kitsFolder, `${name}.yaml`), kitText(kit));
  }
}

describe("without a kit that is the frames' own, nothing changes", () => {
  test.each(FORMATS)(
    "%s, byte by byte, beside kits of other cameras",
    async (format) => {
      await kitsBeside({ one: {}, two: {} });
      expect(await graded(format)).toBe(plain[format]);
    },
    120_000,
  );

  describe("beside a kit of the frames' camera in another style, but for one note on every frame", () => {
    beforeAll(() => kitsBeside({ hard: { camera: HARBOUR, style: { contrast: "hard" } } }));

    const refusal = (contrast: string): string =>
      `The kit harbour/kits/hard.yaml is not used: the frame has contrast ${contrast} instead of "hard".`;

    test("json", async () => {
      interface Rows {
        readonly frames: { file: string; notes: { code: string; message: string }[] }[];
      }
      const rows = JSON.parse(await graded("json")) as Rows;
      expect(rows.frames.length).toBeGreaterThan(25);
      for (const frame of rows.frames) {
        // The raw file names no contrast.
        const contrast = frame.file.endsWith(".dng") ? "none" : '"normal"';
        expect(frame.notes.filter(({ code }) => code === "kit-refused")).toEqual([
          { code: "kit-refused", message: refusal(contrast) },
        ]);
        frame.notes = frame.notes.filter(({ code }) => code !== "kit-refused");
      }
      expect(JSON.stringify(rows)).toBe(JSON.stringify(JSON.parse(plain.json)));
    }, 120_000);

    test("csv", async () => {
      const text = await graded("csv");
      expect(text.match(/kit-refused/g)).toHaveLength(SOME.length);
      expect(text.replaceAll(/ ?kit-refused/g, "")).toBe(plain.csv);
    }, 120_000);

    test("table: every row as it was, and one more note below", async () => {
      const rowsOf = (text: string): readonly string[] =>
        text.split("\n").filter((line) => SOME.some((name) => line.includes(name.slice(0, 12))));
      const text = await graded("table");
      expect(rowsOf(text).length).toBeGreaterThanOrEqual(SOME.length);
      expect(rowsOf(text)).toEqual(rowsOf(plain.table));
      expect(text.replaceAll(/\s+/g, " ")).toContain(
        `kit-refused ${refusal('"normal"')} (3 frames)`,
      );
      expect(plain.table).not.toContain("kit");
    }, 120_000);
  });
});
