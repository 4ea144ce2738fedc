import { SRGB } from "@tonefall/tone-core";
import { inSrgb } from "../inSrgb.ts";
import { type FrameLight, LIGHTS } from "./frameLight.ts";

/** How a frame's light is shown. */
export interface Showing {
  /** Light given more than the frame got, in stops of the frame. */
  readonly moreStops: number;
  readonly withoutColour: boolean;
  readonly markClipped: boolean;
}

/** Draws a frame as another exposure of it would have shown: linear light scaled, cut off at white, encoded. */
export interface ExposedPicture {
  readonly draw: (canvas: HTMLCanvasElement, showing: Showing) => void;
  /** The share of the frame with a channel at or beyond white. */
  readonly atWhite: (moreStops: number) => number;
}

/** Light this near to white is white: full scale of a picture that was encoded and made small is a hair below 1. */
const WHITE = 0.995;

/** Middle grey on a screen. */
const SCREEN_GREY = 0.18;

/** Pixels of the canvas to a cell of light. */
const SCALE = 3;

/** Light of every code of a screen. */
const CODE_LIGHT: Float64Array = Float64Array.from({ length: 256 }, (_, code) =>
  SRGB.linearise(code / 255),
);

/** From the picture itself where its codes tell its light, else from the light that travels with it. */
export function exposedPicture(image: HTMLImageElement, light: FrameLight): ExposedPicture {
  return light.proxy.drawnFrom === "picture" ? fromPicture(image) : fromLight(light);
}

function fromPicture(image: HTMLImageElement): ExposedPicture {
  const { naturalWidth: width, naturalHeight: height } = image;
  const copy = new OffscreenCanvas(width, height).getContext("2d");
  copy?.drawImage(image, 0, 0);
  const shot = copy?.getImageData(0, 0, width, height) ?? new ImageData(width, height);
  const lightest = new Uint32Array(256);
  for (let i = 0; i < shot.data.length; i += 4) {
    const most = Math.max(
      shot.data[i] as number,
      shot.data[i + 1] as number,
      shot.data[i + 2] as number,
    );
    lightest[most] = (lightest[most] as number) + 1;
  }
  const drawn = new ImageData(width, height);
  return {
    draw: (canvas, { moreStops, withoutColour, markClipped }) => {
      const gain = 2 ** moreStops;
      const shown = Uint8ClampedArray.from(CODE_LIGHT, (light) => encoded(gain * light));
      const from = shot.data;
      const to = drawn.data;
      for (let i = 0; i < from.length; i += 4) {
        to[i] = shown[from[i] as number] as number;
        to[i + 1] = shown[from[i + 1] as number] as number;
        to[i + 2] = shown[from[i + 2] as number] as number;
        to[i + 3] = 255;
      }
      if (withoutColour) withoutColours(from, to, gain);
      if (markClipped) stipple(to, width, (i) => isWhite(from, i, gain));
      put(canvas, drawn, 1);
    },
    atWhite: (moreStops) => {
      const gain = 2 ** moreStops;
      const white = lightest.reduce(
        (sum, count, code) => sum + (gain * (CODE_LIGHT[code] as number) >= WHITE ? count : 0),
        0,
      );
      return white / (width * height);
    },
  };
}

function isWhite(codes: Uint8ClampedArray, at: number, gain: number): boolean {
  for (let channel = 0; channel < 3; channel++) {
    if (gain * (CODE_LIGHT[codes[at + channel] as number] as number) >= WHITE) return true;
  }
  return false;
}

/** Tones by luminance, as sRGB weighs it. */
function withoutColours(from: Uint8ClampedArray, to: Uint8ClampedArray, gain: number): void {
  for (let i = 0; i < from.length; i += 4) {
    const light =
      0.2126 * (CODE_LIGHT[from[i] as number] as number) +
      0.7152 * (CODE_LIGHT[from[i + 1] as number] as number) +
      0.0722 * (CODE_LIGHT[from[i + 2] as number] as number);
    const grey = encoded(gain * light);
    to[i] = grey;
    to[i + 1] = grey;
    to[i + 2] = grey;
  }
}

function fromLight({ planes, proxy }: FrameLight): ExposedPicture {
  const { width, height, middleGrey, weights, toSrgb, kitCurve } = proxy;
  const drawn = new ImageData(width, height);
  // Light that a kit told is encoded by the kit again, full scale being its own.
  const gainOf = (moreStops: number): number =>
    (kitCurve ? 1 : SCREEN_GREY / middleGrey) * 2 ** moreStops;
  const shown = (value: number): number => (kitCurve ? codeOf(value, kitCurve) : encoded(value));
  const lightsOf = (cell: number, gain: number): number[] =>
    planes.map((plane) => gain * (LIGHTS[plane[cell] as number] as number));
  const white = (cell: number, gain: number): boolean =>
    lightsOf(cell, gain).some((value) => value >= WHITE);
  return {
    draw: (canvas, { moreStops, withoutColour, markClipped }) => {
      const gain = gainOf(moreStops);
      for (let cell = 0; cell < width * height; cell++) {
        const lights = lightsOf(cell, gain);
        const grey = lights.reduce((sum, value, i) => sum + value * (weights[i] as number), 0);
        const [red = grey, green = grey, blue = grey] = withoutColour ? [] : lights;
        // A kit's light is no colour of the picture's space.
        const rgb = inSrgb([red, green, blue], kitCurve ? null : toSrgb);
        for (const [i, value] of rgb.entries()) drawn.data[4 * cell + i] = shown(value);
        drawn.data[4 * cell + 3] = 255;
      }
      if (markClipped) stipple(drawn.data, width, (i) => white(i / 4, gain));
      put(canvas, drawn, SCALE);
    },
    atWhite: (moreStops) => {
      const gain = gainOf(moreStops);
      let count = 0;
      for (let cell = 0; cell < width * height; cell++) if (white(cell, gain)) count++;
      return count / (width * height);
    },
  };
}

function put(canvas: HTMLCanvasElement, pixels: ImageData, scale: number): void {
  const [width, height] = [pixels.width * scale, pixels.height * scale];
  if (canvas.width !== width) canvas.width = width;
  if (canvas.height !== height) canvas.height = height;
  const context = canvas.getContext("2d");
  if (!context) return;
  if (scale === 1) {
    context.putImageData(pixels, 0, 0);
    return;
  }
  const small = new OffscreenCanvas(pixels.width, pixels.height);
  small.getContext("2d")?.putImageData(pixels, 0, 0);
  context.imageSmoothingQuality = "high";
  context.drawImage(small, 0, 0, width, height);
}

function encoded(light: number): number {
  return 255 * SRGB.encode(Math.min(1, Math.max(0, light)));
}

/** The code that a light is encoded as, by the light behind every code. */
function codeOf(light: number, lights: readonly number[]): number {
  let [low, high] = [0, lights.length - 1];
  if (light >= (lights[high] as number)) return high;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((lights[middle] as number) <= light) low = middle;
    else high = middle;
  }
  const [from, to] = [lights[low] as number, lights[high] as number];
  return to > from ? low + Math.max(0, light - from) / (to - from) : low;
}

/** Fine dots on what is white: a mark that is no tone of its own. */
function stipple(to: Uint8ClampedArray, width: number, white: (at: number) => boolean): void {
  for (let i = 0; i < to.length; i += 4) {
    const [x, y] = [(i / 4) % width, Math.floor(i / 4 / width)];
    if (y % 4 === 0 && x % 4 === (y % 8 === 0 ? 0 : 2) && white(i)) to.fill(0, i, i + 3);
  }
}
