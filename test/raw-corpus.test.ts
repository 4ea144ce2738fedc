import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { decodeRaw, type RawFrame } from "../packages/grader/src/picture/raw/decodeRaw.ts";
import { readRawMetadata } from "../packages/grader/src/picture/raw/readRawMetadata.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { channelMeans, meanCode, meanLuminance } from "./raw/frameMeasures.ts";

/*
 * Real raw files against what LibRaw's own tools read from them: sizes, and means of the samples as stored.
 */

interface Statistics {
  readonly mean: number;
  readonly max: number;
}

interface Truth {
  readonly image_size?: string;
  readonly filter_pattern?: string | null;
  /** By row and column of the cell at the visible corner. */
  readonly visible_area_samples?: Readonly<Record<"c00" | "c01" | "c10" | "c11", Statistics>>;
  readonly linear_16bit_camera_rgb?: Readonly<Record<"R" | "G" | "B", Statistics>>;
  readonly masked_left_border_mean?: number;
  readonly pixels?: string;
}

const truth: Readonly<Record<string, Truth>> = hasCorpus
  ? JSON.parse(readFileSync(corpusFile("raw/truth_raw.json"), "utf8")).files
  : {};

/** Two versions of LibRaw round the entries of a linearisation table apart: the mean of millions moves by this at most. */
const MEAN_TOLERANCE_CODES = 0.01;

function decode(name: string): Promise<RawFrame> {
  return decodeRaw(corpusFile(name), { area: "active" });
}

describe.skipIf(!hasCorpus)(`real raw files${skippedBecause}`, () => {
  test.each(["raw/Blackmagic.dng", "raw/CRW.CRW"])("%s: means of the four sites", async (name) => {
    const { visible_area_samples: samples, image_size, filter_pattern } = truth[name] as Truth;
    const frame = await decode(name);
    const { width, height } = frame.sensor.activeArea;
    expect(`${width} x ${height}`).toBe(image_size);
    expect(frame.sensor.filters.pattern).toBe(filter_pattern?.slice(0, 4));
    const means = Object.values(channelMeans(frame));
    for (const [i, site] of (["c00", "c01", "c10", "c11"] as const).entries()) {
      const difference = Math.abs((means[i] as number) - (samples?.[site].mean as number));
      expect(difference).toBeLessThan(MEAN_TOLERANCE_CODES);
    }
  });

  test("a raw that states no black has it measured on its masked border", async () => {
    const frame = await decode("raw/CRW.CRW");
    const { masked_left_border_mean: mean } = truth["raw/CRW.CRW"] as Truth;
    expect(frame.sensor.blackFrom).toBe("masked-border");
    for (const level of frame.sensor.blackLevels) {
      expect(Math.abs(level - (mean as number))).toBeLessThan(1);
    }
    expect(frame.notes.map(({ code }) => code)).toContain("black-level-measured");
  });

  test("raw/canon_eos_6d.dng: means of linear DNG", async () => {
    const { linear_16bit_camera_rgb: rgb } = truth["raw/canon_eos_6d.dng"] as Truth;
    const { red, green, blue } = channelMeans(await decode("raw/canon_eos_6d.dng"));
    expect(red).toBeCloseTo(rgb?.R.mean as number, 3);
    expect(green).toBeCloseTo(rgb?.G.mean as number, 3);
    expect(blue).toBeCloseTo(rgb?.B.mean as number, 3);
  });

  test("raw/sample_1mp.dng: means of linear DNG, but for the recorded stretch to the brightest value", async () => {
    // The recorded means were stretched so that the greatest value is 65535; the stored codes stop below it.
    const { linear_16bit_camera_rgb: rgb } = truth["raw/sample_1mp.dng"] as Truth;
    const frame = await decode("raw/sample_1mp.dng");
    const greatest = frame.samples.reduce((most, code) => Math.max(most, code), 0);
    const stretch = 65535 / greatest;
    expect(Math.log2(stretch)).toBeLessThan(0.005);
    const { red, green, blue } = channelMeans(frame);
    expect((red as number) * stretch).toBeCloseTo(rgb?.R.mean as number, -1);
    expect((green as number) * stretch).toBeCloseTo(rgb?.G.mean as number, -1);
    expect((blue as number) * stretch).toBeCloseTo(rgb?.B.mean as number, -1);
  });

  test("every file without its pixels is refused for that", async () => {
    const names = Object.keys(truth).filter((name) =>
      /^none or cut/.test(truth[name]?.pixels ?? ""),
    );
    expect(names.length).toBeGreaterThanOrEqual(9);
    for (const name of names) {
      await expect(decodeRaw(corpusFile(name)), name).rejects.toMatchObject({
        code: "raw-no-pixels",
      });
    }
  });

  test("damaged raw files end in a code", async () => {
    const folder = "malformed/exiv2";
    const names = readdirSync(corpusFile(folder)).filter((name) =>
      /\.(crw|raf|orf|nef|cr2|dng|rw2|tif)$/i.test(name),
    );
    expect(names.length).toBeGreaterThan(5);
    for (const name of names) {
      await expect(decodeRaw(corpusFile(`${folder}/${name}`)), name).rejects.toMatchObject({
        code: expect.stringMatching(/^raw-|^decode-failed$|^too-large$/),
      });
    }
  });

  test("a compression that LibRaw lacks is refused by name", async () => {
    await expect(decodeRaw(corpusFile("raw/GOPR0024.GPR"))).rejects.toMatchObject({
      code: "raw-unsupported",
      message: expect.stringContaining("VC-5"),
    });
  });

  test.each([
    ["raw/canon-r6.cr3", "Canon", 2.8, 0.01, 25600],
    ["raw/header_only/FujiFilm.raf", "Fujifilm", 8, 1 / 250, 100],
    ["raw/header_only/Panasonic.rw2", "Panasonic", 4, 1 / 250, 80],
    ["raw/header_only/Minolta.mrw", "Minolta", 2.8, 0.2, 64],
    ["raw/header_only/Nikon.nef", "Nikon", 3.5, 0.05, 200],
  ])(
    "readRawMetadata(%s) though its pixels are gone",
    async (name, make, aperture, seconds, iso) => {
      const metadata = await readRawMetadata(corpusFile(name));
      expect(metadata).toMatchObject({ make, aperture, iso });
      expect(metadata.shutterSeconds).toBeCloseTo(seconds, 6);
    },
  );
});

/** Published visual densities of the chart's neutral patches [CHART]. */
const DENSITIES = [0.05, 0.23, 0.44, 0.7, 1.05, 1.5];
const DENSITY_PER_STOP = Math.log10(2);

/** Centres of the patches, as shares of the frame's width; all at one height. */
const PATCH_CENTRES = [0.406, 0.469, 0.533, 0.597, 0.66, 0.724];
const PATCH_ROW = 0.803;
/** Half a patch, in cells of two samples. */
const HALF_PATCH = 11;

const STEP_TOLERANCE_STOPS = 0.1;

describe.skipIf(!hasCorpus)(`a real photograph of a chart${skippedBecause}`, () => {
  /*
   * Its light is uneven on the two darkest patches: quarters of the fifth lie 0.05 stop apart, of the darkest 0.09, of
   * the others 0.02 or less. So what the quarters scatter is granted on top of the tolerance: 0.01 stop for the
   * step to the fifth patch, which comes out 0.10 short, and 0.02 for the last.
   */
  test("neutral steps are those of the published densities", async () => {
    const frame = await decode("raw/colorchart.dng");
    const patches = PATCH_CENTRES.map((centre) => {
      const left = Math.round(centre * frame.width) - HALF_PATCH;
      const top = Math.round(PATCH_ROW * frame.height) - HALF_PATCH;
      const box = (x: number, y: number, size: number): number =>
        Math.log2(meanLuminance(frame, [left + x, top + y, size, size]));
      const quarters = [0, HALF_PATCH].flatMap((y) =>
        [0, HALF_PATCH].map((x) => box(x, y, HALF_PATCH)),
      );
      return { stops: box(0, 0, 2 * HALF_PATCH), error: standardError(quarters) };
    });
    for (let i = 1; i < patches.length; i++) {
      const [before, after] = [patches[i - 1], patches[i]] as [Patch, Patch];
      const step = before.stops - after.stops;
      const published =
        ((DENSITIES[i] as number) - (DENSITIES[i - 1] as number)) / DENSITY_PER_STOP;
      const tolerance = STEP_TOLERANCE_STOPS + Math.hypot(before.error, after.error);
      expect(Math.abs(step - published), `step ${i}`).toBeLessThan(tolerance);
    }
  });

  test("the white patch holds the codes that LibRaw reads, over three stops below clipping", async () => {
    const frame = await decode("raw/colorchart.dng");
    const left = Math.round((PATCH_CENTRES[0] as number) * frame.width) - HALF_PATCH;
    const top = Math.round(PATCH_ROW * frame.height) - HALF_PATCH;
    const size = 2 * HALF_PATCH;
    for (const [channel, { name }] of frame.channels.entries()) {
      const mean = meanCode(frame, channel, [left, top, size, size]);
      expect(mean, name).toBeCloseTo(WHITE_PATCH_CODES[name] as number, 2);
      const [black, white] = [frame.sensor.blackLevels[channel], frame.sensor.statedWhite[channel]];
      expect([black, white]).toEqual([CHART_LEVELS.black, CHART_LEVELS.white]);
      const share = (mean - CHART_LEVELS.black) / (CHART_LEVELS.white - CHART_LEVELS.black);
      expect(Math.log2(share), name).toBeLessThan(-3);
    }
  });
});

/** Levels of the chart's file: ExifTool, BlackLevel and WhiteLevel. */
const CHART_LEVELS = { black: 2056, white: 15_000 };

/** Mean codes of the same box of samples in what `4channels -B` of LibRaw 0.20.2 writes. */
const WHITE_PATCH_CODES: Readonly<Record<string, number>> = {
  red: 2862.475,
  "green 1": 3211.306,
  "green 2": 3223.457,
  blue: 2561.314,
};

interface Patch {
  readonly stops: number;
  readonly error: number;
}

function standardError(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const variance =
    values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
  return Math.sqrt(variance / values.length);
}
