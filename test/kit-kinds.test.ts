import { copyFile, mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { matrixProfile, pngWithProfile } from "./iccProfile.ts";
import {
  HEIGHT,
  type MadeFrame,
  madeCodes,
  RENDERINGS,
  type Rendering,
  trueStops,
  WIDTH,
  writeBracket,
  writeFrame,
} from "./kitScene.ts";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";

/** A recovered curve may be off by this over codes 20 to 235, stops. */
const CURVE_TOLERANCE = 0.05;

const rendering = RENDERINGS["an S-curve"] as Rendering;

interface Point {
  readonly code: number;
  readonly stops: number;
}

interface Told {
  readonly code: number | null;
  readonly stderr: string;
  readonly kit: { readonly curve: { readonly luminance: readonly Point[] } } | null;
  readonly refusal: { readonly code: string; readonly message: string } | null;
  readonly frames: readonly {
    readonly file: string;
    readonly exposure: number;
    readonly included: boolean;
    readonly residual: number | null;
    readonly reason: string | null;
  }[];
}

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

/** What the built command says of a bracket. */
async function told(...args: readonly string[]): Promise<Told> {
  const { code, stdout, stderr } = await runHere(["kit", "bracket", ...args, "-f", "json"], {
    cwd: folder,
  });
  return { code, stderr, ...JSON.parse(stdout) };
}

/** How far the curve is from that of a rendering at the most, stops, by way of codes as the file keeps them. */
function worst({ kit }: Told, truth: (code: number) => number): number {
  const points = kit?.curve.luminance ?? [];
  const middle = points.find(({ code }) => code === 118)?.stops ?? Number.NaN;
  const errors = points
    .filter(({ code }) => code >= 20 && code <= 235)
    .map(({ code, stops }) => Math.abs(stops - middle - truth(code) + truth(118)));
  return errors.length > 150 ? Math.max(...errors) : Number.NaN;
}
const sCurve = (code: number): number => trueStops(rendering, 1, code, 118);

/** Frames of one name, told apart by number, that differ in more than their time. */
async function frames(
  name: string,
  made: readonly Partial<MadeFrame>[],
): Promise<readonly string[]> {
  const paths: string[] = [];
  for (const [i, frame] of made.entries()) {
    paths.push(
      await writeFrame(
        join(folder, name),
        `${i}.png`,
        { seconds: 1 / 64, rendering, ...frame },
        i + 1,
      ),
    );
  }
  return paths;
}

describe("tonefall kit bracket takes steps of any setting", () => {
  test("apertures as they are marked", async () => {
    const marks = ["20/10", "28/10", "40/10", "56/10", "80/10", "110/10", "160/10"];
    await frames(
      "apertures",
      marks.map((FNumber, i) => ({ hidden: 3 - i, exif: { FNumber } })),
    );
    const result = await told("apertures");
    expect(worst(result, sCurve)).toBeLessThan(CURVE_TOLERANCE);
    // Marked f/2.8 is the square root of 8: whole stops, not what the mark says.
    const steps = result.frames.map(({ exposure }) => exposure - (result.frames[0]?.exposure ?? 0));
    for (const [i, step] of steps.entries()) expect(step).toBeCloseTo(-i, 6);
  });

  test("sensitivities", async () => {
    await frames(
      "sensitivities",
      [100, 200, 400, 800, 1600, 3200].map((iso, i) => ({
        hidden: i - 3,
        exif: { ISOSpeedRatings: String(iso) },
      })),
    );
    expect(worst(await told("sensitivities"), sCurve)).toBeLessThan(CURVE_TOLERANCE);
  });

  test("times and sensitivities together", async () => {
    const made = [0, 1, 2, 3, 4, 5].map((i) => {
      const isoSteps = i % 2 === 0 ? 0 : 2;
      return {
        seconds: 2 ** (i - 3 - isoSteps) / 64,
        hidden: isoSteps,
        exif: { ISOSpeedRatings: String(100 * 2 ** isoSteps) },
      };
    });
    await frames("both", made);
    expect(worst(await told("both"), sCurve)).toBeLessThan(CURVE_TOLERANCE);
  });
});

describe("tonefall kit bracket takes files of any kind", () => {
  const times = [0, 1, 2, 3, 4, 5, 6].map((i) => 2 ** (i - 3) / 64);
  const typed = times.map((seconds) => `1/${1 / seconds}`).join(",");

  /** Seven frames without metadata, written by a test's own way. */
  async function write(
    name: string,
    shown: Rendering,
    encode: (codes: Float64Array) => Promise<Uint8Array>,
  ): Promise<void> {
    await mkdir(join(folder, name), { recursive: true });
    for (const [i, seconds] of times.entries()) {
      const codes = madeCodes({ seconds, rendering: shown }, i + 1);
      await writeFile(join(folder, name, `${i}`.concat(name.slice(-4))), await encode(codes));
    }
  }

  test("16-bit TIFF, its times typed", async () => {
    await write("sixteen.tif", rendering, (codes) =>
      sharp(
        Uint16Array.from(codes, (code) => Math.round(code * 257)),
        {
          raw: { width: WIDTH, height: HEIGHT, channels: 3 },
        },
      )
        .toColourspace("rgb16")
        .tiff({ compression: "lzw" })
        .toBuffer(),
    );
    const { depth } = await sharp(join(folder, "sixteen.tif", "3.tif")).metadata();
    expect(depth).toBe("ushort");
    const result = await told("sixteen.tif", "--times", typed);
    expect(worst(result, sCurve)).toBeLessThan(CURVE_TOLERANCE);
  });

  test("PNG of linear codes, by its profile", async () => {
    const straight: Rendering = (light) => 255 * Math.min(1, light);
    const icc = matrixProfile({
      colorants: [
        [0.4361, 0.2225, 0.0139],
        [0.3851, 0.7169, 0.0971],
        [0.1431, 0.0606, 0.7142],
      ],
      curve: { gamma: 1 },
    });
    await write("linear.png", straight, async (codes) =>
      pngWithProfile(
        await sharp(Uint8Array.from(codes, Math.round), {
          raw: { width: WIDTH, height: HEIGHT, channels: 3 },
        })
          .png({ compressionLevel: 1 })
          .toBuffer(),
        icc,
      ),
    );
    const result = await told("linear.png", "--times", typed);
    expect(worst(result, (code) => Math.log2(code))).toBeLessThan(CURVE_TOLERANCE);
  });

  test("grey pictures, which get a curve of luminance alone", async () => {
    await write("grey.png", rendering, (codes) =>
      sharp(
        Uint8Array.from({ length: WIDTH * HEIGHT }, (_, i) => Math.round(codes[3 * i + 1] ?? 0)),
        {
          raw: { width: WIDTH, height: HEIGHT, channels: 1 },
        },
      )
        .toColourspace("b-w")
        .png({ compressionLevel: 1 })
        .toBuffer(),
    );
    const result = await told("grey.png", "--times", typed);
    expect(worst(result, sCurve)).toBeLessThan(CURVE_TOLERANCE);
    expect(Object.keys(result.kit?.curve ?? {})).toEqual(["luminance"]);
  });

  test("frames turned by their metadata, and one whose camera thought itself held otherwise", async () => {
    await frames(
      "turned",
      times.map((seconds, i) => ({
        seconds,
        orientation: i === 2 ? 1 : 6,
      })),
    );
    const { orientation } = await sharp(join(folder, "turned", "3.png")).metadata();
    expect(orientation).toBe(6);
    const result = await told("turned");
    expect(result.frames.every(({ included }) => included)).toBe(true);
    expect(worst(result, sCurve)).toBeLessThan(CURVE_TOLERANCE);
  });
});

describe("tonefall kit bracket leaves out, by name and with the reason", () => {
  test("frames that are wholly black or white", async () => {
    // A curve that ends at white: S-curves only come near it.
    const plain = RENDERINGS["plain sRGB"] as Rendering;
    const steps = [-18, -3, -2, -1, 0, 1, 2, 3, 12];
    await frames(
      "ends",
      steps.map((step) => ({ seconds: 2 ** step / 64, rendering: plain })),
    );
    const result = await told("ends");
    expect(result.frames.filter(({ included }) => !included).map(({ file }) => file)).toEqual([
      "ends/0.png",
      "ends/8.png",
    ]);
    for (const { included, reason } of result.frames) {
      expect(reason).toEqual(included ? null : expect.stringContaining("too few tones"));
    }
    expect(worst(result, (code) => trueStops(plain, 1, code, 118))).toBeLessThan(CURVE_TOLERANCE);
  });

  test("one frame under a second name", async () => {
    const paths = await writeBracket(join(folder, "twice"), 5, () => ({ rendering }));
    const plain = await told("twice");
    await copyFile(paths[2] as string, join(folder, "twice", "frame 9.png"));
    const result = await told("twice");
    expect(result.frames.map(({ included, reason }) => [included, reason])).toEqual([
      ...paths.map(() => [true, null]),
      [false, "It is a copy of twice/frame 2.png."],
    ]);
    expect(result.kit).toEqual(plain.kit);
  });

  test("no frame of another size: the whole is refused, and the frame named", async () => {
    const paths = await writeBracket(join(folder, "sizes"), 3, () => ({ rendering }));
    const small = await sharp(paths[0]).resize(120, 80).keepMetadata().png().toBuffer();
    await writeFile(join(folder, "sizes", "small.png"), small);
    const { code, kit, refusal } = await told("sizes");
    expect([code, kit, refusal?.code]).toEqual([1, null, "kit-mixed"]);
    expect(refusal?.message).toContain("sizes/small.png");
    expect((await readFile(join(folder, "sizes", "small.png"))).length).toBe(small.length);
  });
});
