import { exp2, log2, squared } from "@tonefall/tone-core";
import type { Random } from "./random.ts";
import { HEIGHT, WIDTH } from "./simulatedScene.ts";

/** How a simulated camera weighs the frame. */
export type SimulatedMetering =
  | "spot"
  | "partial"
  | "centre-weighted"
  | "average"
  | "multi-segment";

/** A place in fractions of the frame. */
export interface Place {
  readonly x: number;
  readonly y: number;
}

const CENTRE: Place = { x: 0.5, y: 0.5 };

/** Shares of the frame's area, common practice; a camera of its own may differ from what the grader lays over. */
const SPOT_SHARE = 0.025;
const PARTIAL_SHARE = 0.09;
/** A circle of 12 mm on 36 x 24 mm. */
const CENTRE_SHARE: number = (Math.PI * squared(6)) / (36 * 24);

/**
 * What a camera's meter reads in a scene, stops from middle grey: the weighted mean of its light. It is written apart
 * from the grader's own patterns, which are to be tried by it.
 *
 * @param tones - stops, {@link WIDTH} by {@link HEIGHT}
 * @param spot - where a spot is; the middle unless the photographer moved it
 */
export function simulatedReading(
  tones: Float64Array,
  pattern: SimulatedMetering,
  random: Random,
  spot: Place = CENTRE,
): number {
  switch (pattern) {
    case "spot":
      return meanWithin(tones, SPOT_SHARE, spot).inside;
    case "partial":
      return meanWithin(tones, PARTIAL_SHARE, CENTRE).inside;
    case "centre-weighted": {
      const { inside, outside } = meanWithin(tones, CENTRE_SHARE, CENTRE);
      return log2(0.75 * exp2(inside) + 0.25 * exp2(outside));
    }
    case "average":
      return meanWithin(tones, Number.POSITIVE_INFINITY, CENTRE).inside;
    case "multi-segment":
      return segments(tones, random);
  }
}

function meanWithin(
  tones: Float64Array,
  share: number,
  { x, y }: Place,
): { readonly inside: number; readonly outside: number } {
  const reach = (share * WIDTH * HEIGHT) / Math.PI;
  const light = [0, 0];
  const pixels = [0, 0];
  tones.forEach((tone, pixel) => {
    const [column, row] = [pixel % WIDTH, Math.floor(pixel / WIDTH)];
    const apart = squared(column + 0.5 - x * WIDTH) + squared(row + 0.5 - y * HEIGHT);
    const side = apart <= reach ? 0 : 1;
    light[side] = (light[side] as number) + exp2(tone);
    pixels[side] = (pixels[side] as number) + 1;
  });
  const [inside, outside] = light.map((sum, side) => log2(sum / (pixels[side] as number)));
  return { inside: inside as number, outside: outside as number };
}

/** A maker's weighting that nobody outside knows: 7 x 5 segments whose weights are drawn anew for every camera. */
function segments(tones: Float64Array, random: Random): number {
  const weights = Array.from({ length: 35 }, () => random.between(0.5, 1.5));
  let light = 0;
  let total = 0;
  tones.forEach((tone, pixel) => {
    const column = Math.floor(((pixel % WIDTH) / WIDTH) * 7);
    const row = Math.floor((Math.floor(pixel / WIDTH) / HEIGHT) * 5);
    const weight = weights[row * 7 + column] as number;
    light += weight * exp2(tone);
    total += weight;
  });
  return log2(light / total);
}
