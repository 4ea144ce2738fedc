import { dngFile } from "../samples/camera/dng.mjs";
import { exifTags } from "../samples/camera/exif.mjs";

/** Levels and filters of the test camera; middle grey lies at 10/78 of the range. */
const BLACK = 512;
const WHITE = 15_872;
const NEUTRAL = [0.5, 1, 0.625] as const;
const SENSOR_MIDDLE_GREY = 10 / 78;

/** Pixels of a capture. */
export const WIDTH = 384;
const HEIGHT = 256;

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
}

/** A raw file of a scene whose light is known, without noise. */
export function captureOf(light: SceneLight, { stops = 0, stray = 0 }: Taking = {}): Uint8Array {
  const samples = new Uint16Array(WIDTH * HEIGHT);
  const gain = (2 ** (stops + stray) * SENSOR_MIDDLE_GREY) / 0.18;
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const colour = RGGB[2 * (y % 2) + (x % 2)] as 0 | 1 | 2;
      const caught = NEUTRAL[colour] * (light(x, y)[colour] as number) * gain;
      samples[y * WIDTH + x] = Math.min(WHITE, BLACK + Math.round(caught * (WHITE - BLACK)));
    }
  }
  const shutter = ["1/2000", "1/1000", "1/500", "1/250", "1/125", "1/60", "1/30", "1/15", "1/8"];
  const exif = exifTags({
    marked: { aperture: "f/8", shutter: shutter[stops + 4] as string, iso: "100" },
    programme: "manual",
    bracketed: false,
    compensationThirds: 0,
    pattern: "spot",
    readingCandelas: 1000,
    focalLengthMillimetres: 35,
    takenAt: "2026:05:04 10:00:00",
  });
  const picture = {
    ...{ width: WIDTH, height: HEIGHT, samples, black: BLACK, white: WHITE, neutral: NEUTRAL },
    noiseProfile: [1e-5, 1e-8],
  };
  return dngFile(picture, exif, [WIDTH / 2, HEIGHT / 2, 10, 10]);
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
