import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { decodeRaw } from "../packages/grader/src/picture/raw/decodeRaw.ts";
import { libRawTools } from "./outside.mjs";
import { type DngContent, dngFile } from "./raw/dngFile.ts";
import { channelMeans } from "./raw/frameMeasures.ts";
import { tiffMean } from "./raw/tiffMean.ts";

/*
 * The decoder against LibRaw's own tools (Debian package libraw-bin: raw-identify, 4channels), on files made here.
 * Their answers are recorded in reference/raw-libraw.json, so that this runs anywhere; where the tools are installed
 * they are asked again. RECORD_RAW_LIBRAW=1 writes the record anew.
 */

const RECORD = new URL("./reference/raw-libraw.json", import.meta.url);

/** What the tools say of a file. */
interface Answer {
  readonly rawSize: string;
  readonly imageSize: string;
  /** From the visible corner, row by row. */
  readonly pattern: string;
  readonly black: number | readonly number[];
  /** Mean stored code of the four sites that 4channels writes, black not subtracted. */
  readonly means: {
    readonly R: number;
    readonly G: number;
    readonly B: number;
    readonly G2: number;
  };
}

const WIDTH = 96;
const HEIGHT = 64;
const samples = Uint16Array.from(
  { length: WIDTH * HEIGHT },
  (_, i) => 1000 + ((i * 7919) % 3001) + 5 * (i % WIDTH),
);
const plain = { width: WIDTH, height: HEIGHT, samples, black: [512], white: [16383] };

const FILES: Readonly<Record<string, DngContent>> = {
  "uncompressed RGGB": plain,
  "uncompressed GRBG": { ...plain, cfa: [1, 0, 2, 1] },
  "lossless JPEG BGGR": { ...plain, cfa: [2, 1, 1, 0], compression: "lossless-jpeg" },
  "active area": { ...plain, activeArea: [4, 8, 60, 90] },
  "black repeats 2 x 2": { ...plain, black: [500, 510, 520, 530], blackRepeat: [2, 2] },
  "linearisation table": {
    ...plain,
    linearisationTable: Array.from({ length: 5000 }, (_, code) => Math.round(code ** 1.2)),
  },
  "big-endian behind a preview": { ...plain, bigEndian: true, behindPreview: true },
};

/** Two versions of LibRaw may round a table's entry apart; nothing else may differ. */
const MEAN_TOLERANCE_CODES = 0.01;

const recorded: { libraw: string; answers: Readonly<Record<string, Answer>> } = JSON.parse(
  readFileSync(RECORD, "utf8"),
);
const hasTools = libRawTools.path !== null;
const record = process.env["RECORD_RAW_LIBRAW"] === "1" && hasTools;

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "tonefall-raw-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe.each(Object.keys(FILES))("%s", (name) => {
  const content = FILES[name] as DngContent;

  test("decodeRaw agrees with the recorded answer", async () => {
    const answer = recorded.answers[name] as Answer;
    const frame = await decodeRaw(dngFile(content), { area: "active" });
    const { activeArea, blackLevels, filters } = frame.sensor;
    expect(answer.imageSize).toBe(`${activeArea.width} x ${activeArea.height}`);
    expect(answer.rawSize).toBe(`${content.width} x ${content.height}`);
    expect(answer.pattern.slice(0, 4)).toBe(filters.pattern);
    expect([answer.black].flat()).toEqual(
      typeof answer.black === "number" ? [blackLevels[0]] : blackLevels,
    );
    const ours = channelMeans(frame);
    // LibRaw's first green is the one beside red, ours the one above.
    const greens = filters.pattern.endsWith("R") || filters.pattern.startsWith("GB");
    const means = {
      R: ours["red"],
      G: ours[greens ? "green 2" : "green 1"],
      B: ours["blue"],
      G2: ours[greens ? "green 1" : "green 2"],
    };
    for (const [channel, mean] of Object.entries(means)) {
      const theirs = answer.means[channel as keyof typeof means];
      expect(Math.abs((mean as number) - theirs)).toBeLessThan(MEAN_TOLERANCE_CODES);
    }
  });

  test.skipIf(!hasTools)(`the record is what the installed tools say${libRawTools.skipped}`, () => {
    expect(askTools(name, content)).toEqual(recorded.answers[name]);
  });
});

if (record)
  test("records anew", () => {
    const answers = Object.fromEntries(
      Object.entries(FILES).map(([name, content]) => [name, askTools(name, content)]),
    );
    writeFileSync(RECORD, `${JSON.stringify({ libraw: toolVersion(), answers }, null, 2)}\n`);
  });

function askTools(name: string, content: DngContent): Answer {
  const file = join(folder, `${name.replaceAll(" ", "-")}.dng`);
  writeFileSync(file, dngFile(content));
  const text = execFileSync("raw-identify", ["-v", file], { encoding: "utf8" });
  const field = (label: string): string =>
    new RegExp(`^${label}:\\s*(.+)$`, "m").exec(text)?.[1]?.trim() ?? "";
  execFileSync("4channels", ["-B", file], { stdio: "ignore" });
  const mean = (channel: string): number => tiffMean(readFileSync(`${file}.${channel}.tiff`));
  const sites = field("cblack\\[6 .. 9\\]");
  return {
    rawSize: field("Raw size") || field("Full size"),
    imageSize: field("Image size"),
    pattern: field("Filter pattern"),
    black: sites ? sites.split(/\s+/).map(Number) : Number(field("black")),
    means: { R: mean("R"), G: mean("G"), B: mean("B"), G2: mean("G2") },
  };
}

function toolVersion(): string {
  const { stdout, stderr } = spawnSync("4channels", { encoding: "utf8" });
  return /LibRaw ([\w.]+)/.exec(stdout + stderr)?.[1] ?? "unknown";
}
