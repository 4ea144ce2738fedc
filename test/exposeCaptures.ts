import type { Random } from "../packages/grader/bench/simulation/random.ts";
import { dngFile } from "../samples/camera/dng.mjs";
import { exifTags } from "../samples/camera/exif.mjs";

/** Levels and filters of the test camera; middle grey lies at 10/78 of the range. */
const BLACK = 512;
const WHITE = 15_872;
const NEUTRAL = [0.5, 1, 0.625] as const;
const SENSOR_MIDDLE_GREY = 10 / 78;

/** Pixels of a capture. */
export const WIDTH = 384;
export const HEIGHT = 256;

/** Filter over each pixel of a block of two by two. */
const RGGB = [0, 1, 1, 2] as const;

/** Linear sRGB of a place of the scene; 0.18 is middle grey. */
export type SceneLight = (x: number, y: number) => readonly [number, number, number];

/** How a capture is taken. */
export interface Taking {
  /** Stops against f/8, 1/125 s, ISO 100, by the time alone. @default 0 */
  readonly stops?: number;
  /** What the recorded time leaves out, stops. @default 0 */
  readonly stray?: number;
  /** Where the noise of photons and of reading comes from. @default none */
  readonly random?: Random;
}

/** Noise of the test camera: electrons that fill a pixel, and what reading one adds. */
const FULL_ELECTRONS = 20_000;
const READ_ELECTRONS = 4;

/** Share of the range that a filter's pixel catches of light. */
export function caughtOf(light: number, colour: 0 | 1 | 2, stops: number): number {
  return (NEUTRAL[colour] * light * 2 ** stops * SENSOR_MIDDLE_GREY) / 0.18;
}

/** A raw file of a scene whose light is known. */
export function captureOf(
  light: SceneLight,
  { stops = 0, stray = 0, random }: Taking = {},
): Uint8Array {
  const samples = new Uint16Array(WIDTH * HEIGHT);
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const colour = RGGB[2 * (y % 2) + (x % 2)] as 0 | 1 | 2;
      const clean = caughtOf(light(x, y)[colour] as number, colour, stops + stray);
      const caught = clean + (random?.normal(noiseOf(clean)) ?? 0);
      const code = BLACK + Math.round(caught * (WHITE - BLACK));
      samples[y * WIDTH + x] = Math.max(0, Math.min(WHITE, code));
    }
  }
  const shutter = ["1/2000", "1/1000", "1/500", "1/250", "1/125", "1/60", "1/30", "1/15", "1/8"];
  return rawFile(samples, WIDTH, HEIGHT, shutter[stops + 4] as string, {
    black: BLACK,
    white: WHITE,
    neutral: NEUTRAL,
  });
}

/** Deviation of what a pixel catches by its noise, as a share of the range. */
export function noiseOf(caught: number): number {
  return Math.sqrt(caught * FULL_ELECTRONS + READ_ELECTRONS ** 2) / FULL_ELECTRONS;
}

/** Levels of a raw file. */
interface Levels {
  readonly black: number;
  readonly white: number;
  readonly neutral: readonly [number, number, number];
}

/** Sensor values behind red, green and blue filters as a raw file at f/8, ISO 100. */
export function rawFile(
  samples: Uint16Array,
  width: number,
  height: number,
  shutter: string,
  levels: Levels,
): Uint8Array {
  const exif = exifTags({
    marked: { aperture: "f/8", shutter, iso: "100" },
    programme: "manual",
    bracketed: false,
    compensationThirds: 0,
    pattern: "spot",
    readingCandelas: 1000,
    focalLengthMillimetres: 35,
    takenAt: "2026:05:04 10:00:00",
  });
  const picture = {
    ...{ width, height, samples, ...levels },
    noiseProfile: [1e-5, 1e-8],
  };
  return dngFile(picture, exif, [width / 2, height / 2, 10, 10]);
}

/** Six upright patches of even light side by side, each a box that keeps clear of its edges. */
export function patches(lights: readonly (readonly [number, number, number])[]): {
  readonly light: SceneLight;
  readonly region: (patch: number) => string;
} {
  const across = WIDTH / lights.length;
  return {
    light: (x) => lights[Math.floor(x / across)] as readonly [number, number, number],
    region: (patch) => `box:${(patch + 0.2) / lights.length},0.1,${0.6 / lights.length},0.8`,
  };
}

/** Light of a grey, stops from middle grey. */
export function grey(stops: number): readonly [number, number, number] {
  const light = 0.18 * 2 ** stops;
  return [light, light, light];
}
