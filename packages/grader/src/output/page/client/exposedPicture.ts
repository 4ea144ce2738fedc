import { SRGB } from "@tonefall/tone-core";
import { inSrgb } from "../inSrgb.ts";
import { type FrameLight, LIGHTS } from "./frameLight.ts";

/** Middle grey on a screen. */
const SCREEN_GREY = 0.18;

/** Pixels of the canvas to a cell of light. */
const SCALE = 3;

/** How a frame's light is shown. */
export interface Showing {
  /** Light given more than the frame got, in stops of the frame. */
  readonly moreStops: number;
  readonly withoutColour: boolean;
  readonly markClipped: boolean;
}

/**
 * Draws a frame's light as another exposure of it would have shown: linear light scaled, cut off at white, encoded.
 *
 * @returns the share of cells with a channel at or beyond white
 */
export function drawExposed(
  canvas: HTMLCanvasElement,
  light: FrameLight,
  showing: Showing,
): number {
  const { planes, proxy } = light;
  const { width, height, middleGrey, weights, toSrgb, kitCurve } = proxy;
  // Light that a kit told is encoded by the kit again, full scale being its own.
  const gain = (kitCurve ? 1 : SCREEN_GREY / middleGrey) * 2 ** showing.moreStops;
  const shown = (value: number): number => (kitCurve ? codeOf(value, kitCurve) : encoded(value));
  const pixels = new ImageData(width, height);
  const clipped: number[] = [];
  for (let cell = 0; cell < width * height; cell++) {
    const lights = planes.map((plane) => gain * (LIGHTS[plane[cell] as number] as number));
    // Full scale of a picture that was encoded and averaged is a hair below 1.
    if (lights.some((value) => value >= 0.995)) clipped.push(cell);
    const grey = lights.reduce((sum, value, i) => sum + value * (weights[i] as number), 0);
    const [red = grey, green = grey, blue = grey] = showing.withoutColour ? [] : lights;
    // A kit's light is no colour of the picture's space.
    const drawn = inSrgb([red, green, blue], kitCurve ? null : toSrgb);
    for (const [i, value] of drawn.entries()) pixels.data[4 * cell + i] = shown(value);
    pixels.data[4 * cell + 3] = 255;
  }
  const small = new OffscreenCanvas(width, height);
  small.getContext("2d")?.putImageData(pixels, 0, 0);
  canvas.width = width * SCALE;
  canvas.height = height * SCALE;
  const context = canvas.getContext("2d");
  if (!context) return 0;
  context.imageSmoothingQuality = "high";
  context.drawImage(small, 0, 0, canvas.width, canvas.height);
  if (showing.markClipped) stipple(context, clipped, width);
  return clipped.length / (width * height);
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
function stipple(context: CanvasRenderingContext2D, cells: readonly number[], width: number): void {
  context.fillStyle = "#000";
  for (const cell of cells) {
    const [x, y] = [cell % width, Math.floor(cell / width)];
    if (x % 4 === (y % 8 === 0 ? 0 : 2) && y % 4 === 0) {
      context.fillRect(x * SCALE, y * SCALE, 2, 2);
    }
  }
}
