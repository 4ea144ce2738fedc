import { execFileSync, spawnSync } from "node:child_process";
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { decodeRaw } from "../packages/grader/src/picture/raw/decodeRaw.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { channelMeans } from "./raw/frameMeasures.ts";
import { tiffMean } from "./raw/tiffMean.ts";

/*
 * Black, white and samples of every real raw file with a mosaic, against LibRaw's own tools (Debian package libraw-bin).
 * Their answers are recorded in reference/raw-levels.json; where the tools are installed they are asked again.
 * RECORD_RAW_LEVELS=1 writes the record anew.
 */

const RECORD = new URL("./reference/raw-levels.json", import.meta.url);

/** What the tools say of a file. */
interface Answer {
  readonly pattern: string;
  /** The black level that 4channels subtracts. */
  readonly black: number;
  /** The level that dcraw_emu takes for full scale. */
  readonly white: number;
  /** Mean stored code of red, green, blue and second green, black not subtracted. */
  readonly means: readonly number[];
}

const FILES = [
  "cameras/Canon/PowerShot G2/CRW_0305.CRW",
  "cameras/Canon/PowerShot G2/CRW_0313.CRW",
  "cameras/Canon/PowerShot S40/CRW_0104.CRW",
  "cameras/Canon/PowerShot S40/CRW_0113.CRW",
  "raw/Blackmagic.dng",
  "raw/CRW.CRW",
  "raw/colorchart.dng",
];

/** LibRaw measures another part of the shielded border, and cuts to whole codes: 0.006 stop at the middle grey of 12 bits. */
const BORDER_TOLERANCE_CODES = 2;

/** Two versions of LibRaw round the entries of a linearisation table apart. */
const MEAN_TOLERANCE_CODES = 0.01;

const recorded: Readonly<Record<string, Answer>> = JSON.parse(readFileSync(RECORD, "utf8")).answers;
const hasTools = spawnSync("dcraw_emu").error === undefined;
const because = hasTools ? "" : " (skipped: LibRaw's tools are not installed)";

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "tonefall-levels-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe.skipIf(!hasCorpus)(`levels of real raw files${skippedBecause}`, () => {
  test.each(FILES)("%s: black, white and means are LibRaw's", async (name) => {
    const { black, white, pattern, means } = recorded[name] as Answer;
    const frame = await decodeRaw(corpusFile(name), { area: "active" });
    const { sensor } = frame;
    expect(sensor.filters.pattern).toBe(pattern.slice(0, 4));
    expect(sensor.whiteLevels).toEqual([white, white, white, white]);
    expect(sensor.whiteFrom).toBe("metadata");
    const tolerance = sensor.blackFrom === "masked-border" ? BORDER_TOLERANCE_CODES : 0;
    for (const level of sensor.blackLevels) {
      expect(Math.abs(level - black)).toBeLessThanOrEqual(tolerance);
    }
    const ours = channelMeans(frame);
    for (const [i, channel] of ["red", "green 1", "blue", "green 2"].entries()) {
      const apart = Math.abs((ours[channel] as number) - (means[i] as number));
      expect(apart, channel).toBeLessThan(MEAN_TOLERANCE_CODES);
    }
  });

  test.skipIf(!hasTools).each(FILES)(
    `%s: the record is what the installed tools say${because}`,
    (name) => {
      expect(askTools(name)).toEqual(recorded[name]);
    },
  );
});

if (process.env["RECORD_RAW_LEVELS"] === "1" && hasTools && hasCorpus) {
  test("records anew", () => {
    const libraw = /LibRaw ([\w.]+)/.exec(spawnSync("4channels", { encoding: "utf8" }).stdout)?.[1];
    const answers = Object.fromEntries(FILES.map((name) => [name, askTools(name)]));
    writeFileSync(RECORD, `${JSON.stringify({ libraw, answers }, null, 2)}\n`);
  });
}

/** What cutting to whole codes takes from a mean of many. */
const TRUNCATED = 0.5;

/**
 * The tools print no white level. dcraw_emu without balance, interpolation and curve makes it full scale of 16 bits, so the
 * scale of its half-size picture against the samples less black tells which level it took.
 */
function askTools(name: string): Answer {
  const file = join(folder, `asked${extname(name)}`);
  rmSync(file, { force: true });
  copyFileSync(corpusFile(name), file);
  const run = (tool: string, ...options: string[]): string =>
    execFileSync(tool, [...options, file], { encoding: "utf8" });
  const pattern = /^Filter pattern:\s*(\w+)/m.exec(run("raw-identify", "-v"))?.[1] ?? "";
  const channels = (): number[] =>
    ["R", "G", "B", "G2"].map((channel) => tiffMean(readFileSync(`${file}.${channel}.tiff`)));
  run("4channels");
  const [red = 0] = channels();
  const black = Number(/Black level \(unscaled\)=(\d+)/.exec(run("4channels", "-B"))?.[1]);
  const means = channels();
  run("dcraw_emu", ..."-c 0 -o 0 -r 1 1 1 1 -4 -h -t 0 -T".split(" "));
  const scaled = tiffMean(readFileSync(`${file}.tiff`)) + TRUNCATED;
  return { pattern, black, white: Math.round(black + (65535 * red) / scaled), means };
}
