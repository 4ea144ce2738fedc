import { readdirSync, readFileSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { readExposure } from "../packages/exif-reader/src/index.ts";
import {
  exactSettings,
  givenExposure,
  MIDDLE_GREY,
  parsePlacement,
  parseRegion,
  rasteriseRegion,
} from "../packages/tone-core/src/index.ts";

// The harbour set is made by a camera model; truth.json says what every frame must come to. Here the pictures themselves
// are measured, by arithmetic of this file's own, and their metadata read.

type ByChannel = Readonly<Record<"red" | "green" | "blue", number>>;

interface RegionTruth {
  readonly region: string;
  readonly sceneStops: number;
  readonly renderedLuminance: number;
  readonly renderedStops: number;
  readonly saturatedShare: number;
  readonly clippedShares?: ByChannel;
}

interface RawRegionTruth {
  readonly region: string;
  readonly sceneStops: number;
  readonly clippedShares: ByChannel;
}

interface ShotTruth {
  readonly file: string;
  readonly view: string;
  readonly width: number;
  readonly height: number;
  readonly orientation: number;
  readonly exposure: {
    readonly marked: { readonly aperture: string; readonly shutter: string; readonly iso: string };
    readonly exact: {
      readonly aperture: number;
      readonly shutterSeconds: number;
      readonly iso: number;
    };
    readonly givenExposureStops: number;
    readonly programme: string;
    readonly compensationStops: number;
  };
  readonly metering: {
    readonly pattern: string;
    readonly readingCandelasPerSquareMetre: number;
    readonly readingStops: number;
    readonly roundingStops: number | null;
  };
  readonly middleGreyCandelasPerSquareMetre: number;
  readonly subject: string;
  readonly subjectArea: readonly number[];
  readonly placement: { readonly from: number; readonly to: number };
  readonly toleranceStops: number;
  readonly errorStops: number;
  readonly expectedVerdict: "within" | "over" | "under";
}

interface FrameTruth extends ShotTruth {
  readonly basis?: never;
  readonly regions: Readonly<Record<string, RegionTruth>>;
}

/** A frame whose file is the sensor's own values. */
interface RawTruth extends ShotTruth {
  readonly basis: "scene";
  readonly sensor: {
    readonly black: number;
    readonly white: number;
    readonly neutral: readonly number[];
    readonly middleGreyShare: number;
  };
  readonly regions: Readonly<Record<string, RawRegionTruth>>;
}

/** The keys of an entry of brief.yaml, as YAML gives them. */
interface Brief {
  readonly place: string | number;
  readonly region: string;
  readonly tolerance: string;
  readonly basis: string;
}

const FOLDER = resolve(import.meta.dirname, "../samples/harbour");
const truth: {
  readonly linearToStops: number;
  readonly saturationStops: number;
  readonly frames: readonly (FrameTruth | RawTruth)[];
} = JSON.parse(readFileSync(join(FOLDER, "truth.json"), "utf8"));
const pictures = truth.frames.filter((frame) => frame.basis === undefined);
const raws = truth.frames.filter((frame) => frame.basis === "scene");
const byName = <T extends ShotTruth>(frames: readonly T[]): [string, T][] =>
  frames.map((frame) => [frame.file, frame]);

/** Mean of thousands of grainy 8-bit pixels against the grain-free picture: rounding, JPEG and grain leave this much. */
const PIXEL_TOLERANCE_STOPS = 0.03;

/** Thousands of grainy 14-bit samples: grain, and that each colour is sampled at every second or fourth pixel. */
const SENSOR_TOLERANCE_STOPS = 0.02;

/** Grain carries pixels over the edge of the scale and back; in a picture, JPEG does so too. */
const CLIPPED_TOLERANCE = 0.002;
const CLIPPED_TOLERANCE_JPEG = 0.04;

/** The third-stop dials allow no more than half a step, and truth.json rounds to six figures. */
const HALF_STEP_STOPS = 1 / 6 + 1e-5;

/** Six significant figures, and APEX brightness written in hundredths. */
const SIX_FIGURES = 1e-4;
const HUNDREDTH = 0.006;

describe("the harbour set", () => {
  test("holds the pictures of truth.json, a brief, a set file, and nothing else", () => {
    const expected = [
      ...truth.frames.map(({ file }) => file),
      "brief.yaml",
      "set.yaml",
      "truth.json",
    ];
    expect(readdirSync(FOLDER).sort()).toEqual(expected.sort());
  });

  test("stays under 15 MB", () => {
    const bytes = readdirSync(FOLDER).reduce((sum, f) => sum + statSync(join(FOLDER, f)).size, 0);
    expect(bytes).toBeLessThan(15e6);
  });

  test("places buoy and net on one tone", () => {
    const { buoy, net } = frameNamed("19-red-buoy-green-net").regions;
    expect(Math.abs((buoy?.sceneStops ?? 9) - (net?.sceneStops ?? -9))).toBeLessThan(0.05);
  });

  test("steps its bracket by one stop of scene light", () => {
    const bracket = pictures.filter(({ file }) => file.includes("-bracket-"));
    const steps = bracket.map(({ regions, subject }) => regions[subject]?.sceneStops ?? Number.NaN);
    expect(steps).toHaveLength(5);
    for (const [i, stops] of steps.entries())
      expect(stops - (steps[0] as number)).toBeCloseTo(i, 4);
  });

  test("gives its equivalent exposures the same light by different settings", () => {
    const trio = pictures.filter(({ file }) => file.includes("-same-exposure-"));
    expect(new Set(trio.map(({ exposure }) => exposure.marked.aperture)).size).toBe(3);
    expect(new Set(trio.map(({ exposure }) => exposure.givenExposureStops)).size).toBe(1);
  });

  test("keeps the settings from the moss to the boathouse", () => {
    const moss = frameNamed("12-recompose-metered-on-moss").exposure;
    expect(frameNamed("13-recompose-boathouse").exposure).toEqual(moss);
  });

  test("meters its one doorway four ways", () => {
    const four = pictures.filter(({ file }) => file.includes("-doorway-"));
    expect(new Set(four.map(({ metering }) => metering.pattern)).size).toBe(4);
    expect(new Set(four.map(({ exposure }) => exposure.marked.shutter)).size).toBe(4);
  });

  test("keeps one shot as raw and picture, whose wall clips in the picture alone", () => {
    expect(raws.map(({ file }) => file)).toEqual(["29-slip-and-boathouse.dng"]);
    const [raw] = raws as [RawTruth];
    const picture = frameNamed("29-slip-and-boathouse");
    expect(raw.exposure).toEqual(picture.exposure);
    expect(raw.subject).toBe(picture.subject);
    const onSensor = raw.regions[raw.subject] as RawRegionTruth;
    const shown = picture.regions[raw.subject] as RegionTruth;
    expect(onSensor.sceneStops).toBe(shown.sceneStops);
    expect(onSensor.clippedShares).toEqual({ red: 0, green: 0, blue: 0 });
    expect(shown.clippedShares?.red).toBeGreaterThan(0.1);
  });
});

describe.each(byName(pictures))("%s", (file, frame) => {
  test("measures as its truth says, in every named region", async () => {
    const { data, info } = await sharp(join(FOLDER, file))
      .raw()
      .toBuffer({ resolveWithObject: true });
    expect(info).toMatchObject({ width: frame.width, height: frame.height, channels: 3 });
    for (const [name, region] of Object.entries(frame.regions)) {
      const stops = Math.log2(meanLuminance(data, frame, region.region) / MIDDLE_GREY);
      expect(Math.abs(stops - region.renderedStops), name).toBeLessThan(PIXEL_TOLERANCE_STOPS);
      for (const [c, share] of Object.values(region.clippedShares ?? {}).entries()) {
        const pixels = [...pixelsOf(frame, region.region)];
        const clipped = pixels.filter((pixel) => data[3 * pixel + c] === 255).length;
        const off = Math.abs(clipped / pixels.length - share);
        expect(off, name).toBeLessThan(CLIPPED_TOLERANCE_JPEG);
      }
    }
  });

  test("renders scene stops as they are below the shoulder, and less above", () => {
    for (const { sceneStops, renderedStops, saturatedShare } of Object.values(frame.regions)) {
      expect(renderedStops).toBeLessThanOrEqual(sceneStops + SIX_FIGURES);
      if (sceneStops > truth.saturationStops) expect(saturatedShare).toBeGreaterThan(0);
      if (sceneStops < truth.linearToStops - 1 && saturatedShare === 0) {
        expect(Math.abs(renderedStops - sceneStops)).toBeLessThan(0.02);
      }
    }
  });

  test("was rendered as plain sRGB by its Exif", async () => {
    const record = await readExposure(join(FOLDER, file));
    expect(record.colourSpace.value).toBe("srgb");
    expect(record.customRendered.value).toBe("normal");
    expect(record.contrast.value).toBe("normal");
  });
});

describe.each(byName(raws))("%s", (file, frame) => {
  test("holds the light of its truth, in every named region", () => {
    const { black, white, neutral, middleGreyShare } = frame.sensor;
    expect(middleGreyShare).toBeCloseTo(10 / 78, 6);
    const samples = lastSamples(readFileSync(join(FOLDER, file)), frame);
    for (const [name, { region, sceneStops, clippedShares }] of Object.entries(frame.regions)) {
      const means = [0, 1, 2].map((colour) => {
        const sites = [...pixelsOf(frame, region)].filter((i) => filterAt(i, frame) === colour);
        const codes = sites.map((pixel) => samples[pixel] as number);
        const clipped = codes.filter((code) => code >= white).length / codes.length;
        const expected = Object.values(clippedShares)[colour] as number;
        expect(Math.abs(clipped - expected), name).toBeLessThan(CLIPPED_TOLERANCE);
        const mean = codes.reduce((sum, code) => sum + code, 0) / codes.length;
        return (mean - black) / (white - black) / (neutral[colour] as number);
      }) as [number, number, number];
      const stops = Math.log2(luminance(...means) / middleGreyShare);
      expect(Math.abs(stops - sceneStops), name).toBeLessThan(SENSOR_TOLERANCE_STOPS);
    }
  });

  test("says nothing of a rendering", async () => {
    const record = await readExposure(join(FOLDER, file));
    expect(record.colourSpace.value).toBeNull();
    expect(record.customRendered.value).toBeNull();
    expect(record.contrast.value).toBeNull();
  });
});

describe.each(byName<FrameTruth | RawTruth>(truth.frames))("%s", (file, frame) => {
  test("was exposed as meter, compensation and dials decide", () => {
    const { exact, compensationStops, givenExposureStops, programme } = frame.exposure;
    const { readingCandelasPerSquareMetre, readingStops, roundingStops } = frame.metering;
    const middleGrey = (12.5 * exact.aperture ** 2) / (exact.shutterSeconds * exact.iso);
    expect(frame.middleGreyCandelasPerSquareMetre / middleGrey).toBeCloseTo(1, 4);
    expect(readingStops).toBeCloseTo(Math.log2(readingCandelasPerSquareMetre / middleGrey), 4);
    expect(givenExposureStops).toBeCloseTo(givenExposure(exact), 4);
    if (roundingStops !== null) expect(Math.abs(roundingStops)).toBeLessThan(HALF_STEP_STOPS);
    if (programme !== "manual") {
      expect(readingStops - compensationStops).toBeCloseTo(roundingStops ?? Number.NaN, 4);
    }
  });

  test("carries Exif that agrees with its truth", async () => {
    const record = await readExposure(join(FOLDER, file));
    const { marked, exact, compensationStops, programme } = frame.exposure;
    expect(record.aperture.value).toBeCloseTo(Number(marked.aperture.replace("f/", "")), 6);
    expect(record.shutter.value).toBeCloseTo(secondsOf(marked.shutter), 9);
    expect(record.iso.value).toBe(Number(marked.iso));
    expect(record.compensation.value).toBeCloseTo(compensationStops, 4);
    expect(record.programme.value).toBe(programme);
    const bracketed = file.includes("-bracket-") ? "auto-bracket" : "auto";
    expect(record.mode.value).toBe(programme === "manual" ? "manual" : bracketed);
    expect(record.meteringPattern.value).toBe(frame.metering.pattern);
    expect(record.orientation.value).toBe(frame.orientation);
    expect(record.make.value).toBe("Tonefall");
    expect(record.model.value).toBe("Harbour model camera");
    expect(record.flashFired.value).toBe(false);
    expect(record.sensitivityType.value).toBe("sos");
    const [x, y, width, height] = frame.subjectArea;
    expect(record.subjectArea.value).toEqual({ shape: "rectangle", x, y, width, height });
    const reading = Math.log2(frame.metering.readingCandelasPerSquareMetre / 4);
    expect(Math.abs((record.brightnessValue.value ?? 99) - reading)).toBeLessThan(HUNDREDTH);

    // The marked values stand for the exact ones that the model exposed by.
    const recovered = exactSettings({
      aperture: record.aperture.value ?? Number.NaN,
      shutterSeconds: record.shutter.value ?? Number.NaN,
      iso: record.iso.value ?? Number.NaN,
    });
    expect(givenExposure(recovered)).toBeCloseTo(givenExposure(exact), 4);
  });

  test("is briefed as its truth says", () => {
    const brief = briefOf(file);
    const { from, to } = parsePlacement(brief.place ?? Number.NaN);
    expect(from).toBeCloseTo(frame.placement.from, 6);
    expect(to).toBeCloseTo(frame.placement.to, 6);
    expect(brief.basis).toBe(frame.basis ?? "rendered");
    const [tolerance, text] = frame.basis === "scene" ? [1 / 2, "1/2"] : [1 / 3, "1/3"];
    expect(brief.tolerance).toBe(text);
    expect(frame.toleranceStops).toBeCloseTo(tolerance, 5);
    const subject = frame.regions[frame.subject] as RegionTruth | RawRegionTruth;
    if (brief.region !== "subject-area") expect(brief.region).toBe(subject.region);
    const fall = "renderedStops" in subject ? subject.renderedStops : subject.sceneStops;
    const error = Math.max(fall - to, 0) || Math.min(fall - from, 0);
    expect(frame.errorStops).toBeCloseTo(error, 4);
    const missed = error > 0 ? "over" : "under";
    expect(frame.expectedVerdict).toBe(Math.abs(error) > tolerance ? missed : "within");
  });
});

function frameNamed(name: string): FrameTruth {
  const frame = pictures.find(({ file }) => file === `${name}.jpg`);
  if (!frame) throw new Error(`Expected a frame named ${name} in truth.json`);
  return frame;
}

/** Indices of the pixels of a region. */
function* pixelsOf(frame: ShotTruth, region: string): Generator<number> {
  const spans = rasteriseRegion(parseRegion(region), frame);
  for (let i = 0; i < spans.length; i += 3) {
    const [row, first, end] = spans.subarray(i, i + 3) as unknown as [number, number, number];
    for (let column = first; column < end; column++) yield row * frame.width + column;
  }
}

/** Mean relative luminance of a region of 8-bit sRGB pixels, by the sRGB curve and the Rec. 709 row. */
function meanLuminance(pixels: Uint8Array, frame: FrameTruth, region: string): number {
  let sum = 0;
  let count = 0;
  for (const pixel of pixelsOf(frame, region)) {
    const [red, green, blue] = [0, 1, 2].map((c) => LINEAR[pixels[3 * pixel + c] as number]);
    sum += luminance(red as number, green as number, blue as number);
    count++;
  }
  return sum / count;
}

/** Relative luminance of linear sRGB [Rec. 709]. */
function luminance(red: number, green: number, blue: number): number {
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/** The raw file's 16-bit samples, which are the last thing in it. */
function lastSamples(file: Buffer, { width, height }: ShotTruth): readonly number[] {
  const start = file.length - 2 * width * height;
  return Array.from({ length: width * height }, (_, i) => file.readUInt16LE(start + 2 * i));
}

/** Colour of the filter over a pixel: red and green, then green and blue. */
function filterAt(pixel: number, { width }: ShotTruth): number {
  return (Math.floor(pixel / width) % 2) + ((pixel % width) % 2);
}

const LINEAR: readonly number[] = Array.from({ length: 256 }, (_, code) => {
  const encoded = code / 255;
  return encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;
});

function secondsOf(marked: string): number {
  const [over, under = "1"] = marked.split("/");
  return Number(over) / Number(under);
}

/** The entries of brief.yaml that match a file, laid over one another in order. */
function briefOf(file: string): Partial<Brief> {
  const entries: Record<string, Partial<Brief>> = parse(
    readFileSync(join(FOLDER, "brief.yaml"), "utf8"),
  );
  const fromGrader = createRequire(new URL("../packages/grader/package.json", import.meta.url));
  const matches: (name: string, glob: string) => boolean = fromGrader("picomatch").isMatch;
  return Object.assign(
    {},
    ...Object.entries(entries)
      .filter(([glob]) => matches(file, glob))
      .map(([, keys]) => keys),
  );
}
