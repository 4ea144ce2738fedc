import { copyFile, mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { BracketResult, KitPoint } from "@tonefall/grader";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { matrixProfile, pngWithProfile } from "./iccProfile.ts";
import { type MadeFrame, RENDERINGS, type Rendering, trueStops, writeFrame } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";
import { type Run, runTonefall } from "./runTonefall.ts";

/** A recovered curve may be off by this over codes 20 to 235, stops. */
const CURVE_TOLERANCE = 0.05;

const PLAIN = RENDERINGS["plain sRGB"] as Rendering;

/** Steps of the brackets below, stops from the middle. */
const STEPS = [-3, -2, -1, 0, 1, 2, 3];

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

/** Writes a bracket whose files say what `made` makes of each step; what a frame truly is given is the step. */
async function bracket(
  name: string,
  made: (step: number) => Partial<MadeFrame> = () => ({}),
  steps: readonly number[] = STEPS,
): Promise<string[]> {
  const paths: string[] = [];
  for (const [i, step] of steps.entries()) {
    const frame = { seconds: 2 ** step / 64, ...made(step) };
    paths.push(await writeFrame(join(folder, name), `frame ${i}.png`, frame, i + 1));
  }
  return paths;
}

/** Runs the built command over a folder of these tests. */
async function measured(name: string, ...more: string[]): Promise<BracketResult & { run: Run }> {
  const run = await runTonefall(["kit", "bracket", name, "-f", "json", ...more], { cwd: folder });
  return { ...JSON.parse(run.stdout), run };
}

function expectCurve(
  { kit, refusal }: BracketResult,
  { rendering = PLAIN, middle = 118, channels = ["luminance", "green"] as const } = {},
): void {
  expect(refusal).toBeNull();
  for (const channel of channels) {
    const points: readonly KitPoint[] = kit?.curve?.[channel as "green"] ?? [];
    const zero = points.find(({ code }) => code === middle)?.stops ?? Number.NaN;
    const errors = points
      .filter(({ code }) => code >= 20 && code <= 235)
      .map(({ code, stops }) => Math.abs(stops - zero - trueStops(rendering, 1, code, middle)));
    expect(errors.length, channel).toBeGreaterThan(200);
    expect(Math.max(...errors), channel).toBeLessThan(CURVE_TOLERANCE);
  }
}

const middleTime = { ExposureTime: "1/64" };
const aperture = (step: number): string => `${Math.round(5.6e4 * 2 ** (-step / 2))}/10000`;
const iso = (step: number): string => `${Math.round(1600 * 2 ** step)}`;

describe("tonefall kit bracket, by what varies", () => {
  test.each<[string, (step: number) => Partial<MadeFrame>]>([
    ["apertures", (step) => ({ exif: { ...middleTime, FNumber: aperture(step) } })],
    ["sensitivities", (step) => ({ exif: { ...middleTime, ISOSpeedRatings: iso(step) } })],
    [
      "times and sensitivities",
      (step) => ({
        exif:
          step < 0 ? {} : { ...middleTime, ISOSpeedRatings: String(Math.round(160 * 2 ** step)) },
      }),
    ],
  ])("%s", async (name, made) => {
    await bracket(name, made);
    const result = await measured(name);
    expectCurve(result);
    expect(result.frames.map(({ included }) => included)).toEqual(STEPS.map(() => true));
  });

  test("times that are typed", async () => {
    await bracket("typed", () => ({ untimed: true }));
    const times = STEPS.map((step) => `1/${64 / 2 ** step}`).join(",");
    expectCurve(await measured("typed", "--times", times));
  });
});

describe("tonefall kit bracket, by the kind of file", () => {
  test("TIFF of 16 bits", async () => {
    const paths = await bracket("deep");
    await mkdir(join(folder, "deep tiff"));
    for (const [i, path] of paths.entries()) {
      const { data, info } = await sharp(path).raw().toBuffer({ resolveWithObject: true });
      const samples = Uint16Array.from(data, (code) => 257 * code);
      const { width, height } = info;
      await sharp(samples, { raw: { width, height, channels: 3 } })
        .toColourspace("rgb16")
        .tiff({ compression: "lzw" })
        .toFile(join(folder, "deep tiff", `${i}.tif`));
    }
    expect((await sharp(join(folder, "deep tiff", "0.tif")).metadata()).depth).toBe("ushort");
    const times = STEPS.map((_, i) => `${2 ** i}/512`).join(",");
    expectCurve(await measured("deep tiff", "--times", times));
  });

  test("PNG of linear codes, as its profile says", async () => {
    const rendering: Rendering = (light) => 255 * Math.min(1, light);
    const paths = await bracket("linear", () => ({ rendering }));
    const icc = matrixProfile({
      // The colorants of sRGB adapted to D50, as [ICC] profiles carry them.
      colorants: [
        [0.4361, 0.2225, 0.0139],
        [0.3851, 0.7169, 0.0971],
        [0.1431, 0.0606, 0.7139],
      ],
      curve: { gamma: 1 },
    });
    for (const path of paths) await writeFile(path, pngWithProfile(await readFile(path), icc));
    expectCurve(await measured("linear"), { rendering, middle: 46 });
  });

  test("pictures that Exif turns", async () => {
    const paths = await bracket("turned");
    for (const path of paths) {
      const turned = await sharp(path).keepExif().withMetadata({ orientation: 6 }).toBuffer();
      await writeFile(path, turned);
    }
    expectCurve(await measured("turned"));
  });

  test("pictures of grey alone", async () => {
    const paths = await bracket("grey");
    for (const path of paths) {
      const grey = await sharp(path).extractChannel("green").keepExif().toBuffer();
      await writeFile(path, grey);
    }
    expectCurve(await measured("grey"), { channels: ["luminance"] as never });
  });
});

describe("tonefall kit bracket, frames that cannot tell", () => {
  test("wholly black and wholly clipped ones are left out by name", async () => {
    const paths = await bracket("ends", () => ({}), [-16, ...STEPS, 16]);
    const result = await measured("ends");
    expectCurve(result);
    expect(result.frames.map(({ included }) => included)).toEqual(
      paths.map((_, i) => i > 0 && i < paths.length - 1),
    );
    expect(result.frames[0]?.reason).toMatch(/too few tones/);
    expect(result.frames.at(-1)?.reason).toMatch(/too few tones/);
  });

  test("one frame under several names counts as its exposure does, once", async () => {
    const paths = await bracket("twins");
    const before = await measured("twins");
    for (const copy of ["a copy.png", "another.png"]) {
      await copyFile(paths[3] as string, join(folder, "twins", copy));
    }
    const after = await measured("twins");
    expectCurve(after);
    // Copies know no more than the frame that they are of.
    expect(after.kit?.uncertainty).toBeGreaterThan(0.9 * (before.kit?.uncertainty ?? 0));
  });

  test("frames of several sizes are refused by name", async () => {
    const paths = await bracket("sizes");
    const small = await sharp(paths[2]).resize(120, 80).keepExif().toBuffer();
    await writeFile(paths[2] as string, small);
    const { run, refusal } = await measured("sizes");
    expect([run.code, refusal?.code]).toEqual([1, "kit-mixed"]);
    expect(refusal?.message).toContain("frame 2.png");
  });
});
