import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import sharp, { type Exif } from "sharp";

/** Codes of three channels, 0 to 255, of light in the scene (0.18 is a middle grey as metered). */
export type Rendering = (light: number, channel: number) => number;

/** A deterministic source of numbers in [0, 1). */
export function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** A normal deviate from a source of numbers. */
export function normal(source: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - source())) * Math.cos(2 * Math.PI * source());
}

/** sRGB encoding [SRGB], written out here so that no truth is our own code's. */
export function srgb(light: number): number {
  const within = Math.min(1, Math.max(0, light));
  return within <= 0.0031308 ? 12.92 * within : 1.055 * within ** (1 / 2.4) - 0.055;
}

const sCurve =
  (contrast: number, middle = srgb(0.18)): ((light: number) => number) =>
  (light) =>
    1 / (1 + (1 / middle - 1) * (light / 0.18) ** -contrast);

/** Renderings whose curves are known. */
export const RENDERINGS: Readonly<Record<string, Rendering>> = {
  "plain sRGB": (light) => 255 * srgb(light),
  "an S-curve": (light) => 255 * sCurve(0.9)(light),
  "a steep S-curve": (light) => 255 * sCurve(1.2)(light),
  "a shoulder": (light) => 255 * srgb(1 - Math.exp(-1.15 * light)),
  "low contrast": (light) => 12 + 243 * srgb(light * 0.8) ** 0.9,
  "one curve a channel": (light, channel) =>
    255 * sCurve([0.85, 0.95, 1.1][channel] as number)(light),
};

/** The light, in stops from that of a code, that a rendering shows as another code: found by halving. */
export function trueStops(
  rendering: Rendering,
  channel: number,
  code: number,
  from: number,
): number {
  const light = (wanted: number): number => {
    let [low, high] = [-16, 12];
    for (let i = 0; i < 60; i++) {
      const middle = (low + high) / 2;
      if (rendering(0.18 * 2 ** middle, channel) < wanted) low = middle;
      else high = middle;
    }
    return low;
  };
  return light(code) - light(from);
}

/** The light, in stops from that of a code, of greys whose luminance a rendering shows as another code of sRGB. */
export function trueLuminanceStops(rendering: Rendering, code: number, from: number): number {
  const shown: Rendering = (light) =>
    255 *
    srgb(
      [0.2126, 0.7152, 0.0722].reduce(
        (sum, weight, channel) => sum + weight * linear(rendering(light, channel) / 255),
        0,
      ),
    );
  return trueStops(shown, 1, code, from);
}

/** The inverse of `srgb`. */
function linear(shown: number): number {
  return shown <= 0.04045 ? shown / 12.92 : ((shown + 0.055) / 1.055) ** 2.4;
}

/** What a made frame may be given; every figure has its usual value. */
export interface MadeFrame {
  /** Seconds, written into the file unless `untimed`. */
  readonly seconds: number;
  /** Stops that the settings do not tell of. */
  readonly hidden?: number;
  readonly rendering?: Rendering;
  /** Pixels by which the camera moved. */
  readonly moved?: number;
  readonly untimed?: boolean;
  /** How the frame says it is to be turned, 1 to 8; its pixels are not. */
  readonly orientation?: number;
  readonly exif?: Readonly<Record<string, string>>;
  readonly camera?: Readonly<Record<string, string>>;
}

/** Pixels of a made frame across and down. */
export const WIDTH = 240;
export const HEIGHT = 160;
const PATCH = 16;

/**
 * One frame of a still scene, three codes a pixel, 0 to 255 and not yet rounded: grey and tinted patches over nine stops,
 * each flat, darkened towards the corners by half a stop, with a camera's noise.
 */
export function madeCodes(
  {
    seconds,
    hidden = 0,
    rendering = RENDERINGS["plain sRGB"],
    moved = 0,
  }: Pick<MadeFrame, "seconds" | "hidden" | "rendering" | "moved">,
  seed = 1,
): Float64Array {
  const lights = random(99);
  const columns = WIDTH / PATCH;
  const patches = Array.from({ length: columns * (HEIGHT / PATCH) }, () => {
    const light = 0.18 * 2 ** (9 * lights() - 4.5);
    const tint = lights() < 0.6 ? 0 : 0.5;
    return [0, 1, 2].map(() => light * 2 ** (tint * (lights() - 0.5)));
  });
  const noise = random(seed * 7919 + Math.round(seconds * 1e6));
  const gain = seconds * 64 * 2 ** hidden;
  const codes = new Float64Array(WIDTH * HEIGHT * 3);
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const sx = Math.min(WIDTH - 1, x + moved);
      const patch = patches[Math.floor(y / PATCH) * columns + Math.floor(sx / PATCH)] as number[];
      const radius = Math.hypot(x / WIDTH - 0.5, y / HEIGHT - 0.5) / Math.SQRT1_2;
      const vignette = 2 ** (-0.5 * radius ** 2);
      for (let c = 0; c < 3; c++) {
        const code =
          (rendering as Rendering)((patch[c] as number) * gain * vignette, c) + 1.2 * normal(noise);
        codes[(y * WIDTH + x) * 3 + c] = Math.min(255, Math.max(0, code));
      }
    }
  }
  return codes;
}

/** Writes one frame of a still scene, rounded to 8 bits. */
export async function writeFrame(
  folder: string,
  name: string,
  made: MadeFrame,
  seed = 1,
): Promise<string> {
  const { seconds, orientation, ...rest } = made;
  const codes = madeCodes(made, seed);
  const samples = Uint8Array.from(codes, Math.round);
  const exif: Exif = {
    IFD0: { Make: "Tonefall", Model: "Test camera", Software: "1.0", ...rest.camera },
    IFD2: {
      ...(rest.untimed ? {} : { ExposureTime: rational(seconds) }),
      FNumber: "56/10",
      ISOSpeedRatings: "160",
      ...rest.exif,
    },
  };
  await mkdir(folder, { recursive: true });
  const path = join(folder, name);
  await sharp(samples, { raw: { width: WIDTH, height: HEIGHT, channels: 3 } })
    .withMetadata(orientation === undefined ? {} : { orientation })
    .withExif(exif)
    .png({ compressionLevel: 1 })
    .toFile(path);
  return path;
}

function rational(seconds: number): string {
  return seconds < 1
    ? `1000000/${Math.round(1e6 / seconds)}`
    : `${Math.round(seconds * 1e6)}/1000000`;
}

/** Writes a bracket in steps of a stop about 1/64 s, which no list of marks rounds. */
export async function writeBracket(
  folder: string,
  count: number,
  frame: (index: number) => Omit<MadeFrame, "seconds"> & { readonly step?: number },
): Promise<string[]> {
  const paths: string[] = [];
  for (let i = 0; i < count; i++) {
    const { step = 1, ...rest } = frame(i);
    const seconds = 2 ** ((i - (count - 1) / 2) * step) / 64;
    paths.push(await writeFrame(folder, `frame ${i}.png`, { seconds, ...rest }, i + 1));
  }
  return paths;
}
