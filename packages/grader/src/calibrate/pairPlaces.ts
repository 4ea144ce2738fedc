import { log2, SENSOR_MIDDLE_GREY, squared, storedFromUpright } from "@tonefall/tone-core";
import { type Frame, fullScaleOf } from "../picture/frame.ts";

/** Tones of one part of a shot that share one step of light on the sensor. */
export interface PairPlace {
  /** Index of the part of the picture. */
  readonly part: number;
  /** Light on the sensor, in whole steps of {@link LIGHT_STEP} from its default middle grey. */
  readonly step: number;
  /** Mean code of luminance in the rendering, 8-bit scale, brought to the step's own light. */
  readonly code: number;
  readonly codeError: number;
}

/** Stops from one step of light to the next. */
export const LIGHT_STEP: number = 1 / 4;

/** Blocks along the upright picture's width and height; parts likewise. */
const BLOCKS = 60;
const PARTS = 4;

/** The most that a flat block may vary: codes, and share of its light on the sensor. */
const MOST_CODE_DEVIATION = 10;
const MOST_LIGHT_DEVIATION = 0.25;

/** The most that the channels of a nearly neutral block differ, codes. */
const MOST_COLOUR = 24;

/** Least distance from the ends of the scale, codes. */
const ROOM = 4;

/** Flat, unclipped and nearly neutral tones that a raw and a rendered frame of one shot both hold. */
export function pairPlaces(raw: Frame, rendered: Frame): readonly PairPlace[] {
  const found = new Map<
    string,
    { part: number; step: number; light: number; codes: number; blocks: number }
  >();
  for (let row = 0; row < BLOCKS; row++) {
    for (let column = 0; column < BLOCKS; column++) {
      const block = { column, row };
      const shown = codesOf(rendered, block);
      const seen = lightOf(raw, block);
      if (shown === null || seen === null) continue;
      const light = log2(seen / SENSOR_MIDDLE_GREY);
      const step = Math.round(light / LIGHT_STEP);
      const part =
        Math.floor((row * PARTS) / BLOCKS) * PARTS + Math.floor((column * PARTS) / BLOCKS);
      const key = `${part} ${step}`;
      const sum = found.get(key) ?? { part, step, light: 0, codes: 0, blocks: 0 };
      found.set(key, {
        ...sum,
        light: sum.light + light - step * LIGHT_STEP,
        codes: sum.codes + shown,
        blocks: sum.blocks + 1,
      });
    }
  }
  const places = [...found.values()];
  // Within a step code follows light by the slope between this step and its neighbours.
  const mean = new Map<number, { code: number; count: number }>();
  for (const { step, codes, blocks } of places) {
    const { code, count } = mean.get(step) ?? { code: 0, count: 0 };
    mean.set(step, { code: code + codes, count: count + blocks });
  }
  const codeAt = (step: number): number | null => {
    const at = mean.get(step);
    return at ? at.code / at.count : null;
  };
  return places.map(({ part, step, light, codes, blocks }) => {
    const [below, above] = [codeAt(step - 1), codeAt(step + 1)];
    const own = codeAt(step) as number;
    const low = below ?? own;
    const high = above ?? own;
    const steps = (below === null ? 0 : 1) + (above === null ? 0 : 1);
    const slope = steps === 0 ? 0 : (high - low) / (steps * LIGHT_STEP);
    return {
      part,
      step,
      code: codes / blocks - (slope * light) / blocks,
      codeError: 0.3 + 0.7 / Math.sqrt(blocks),
    };
  });
}

interface BlockPlace {
  readonly column: number;
  readonly row: number;
}

/** Visits the pixels in the middle half of a block of the upright picture; returns their count. */
function visit(frame: Frame, { column, row }: BlockPlace, each: (at: number) => void): number {
  const { width, height, stride, orientation } = frame;
  const corner = (x: number, y: number) =>
    storedFromUpright({ x: (column + x) / BLOCKS, y: (row + y) / BLOCKS }, orientation);
  const [a, b] = [corner(0.25, 0.25), corner(0.75, 0.75)];
  const [left, right] = [Math.min(a.x, b.x) * width, Math.max(a.x, b.x) * width];
  const [top, bottom] = [Math.min(a.y, b.y) * height, Math.max(a.y, b.y) * height];
  let pixels = 0;
  for (let y = Math.floor(top); y < Math.max(Math.floor(top) + 1, Math.floor(bottom)); y++) {
    for (let x = Math.floor(left); x < Math.max(Math.floor(left) + 1, Math.floor(right)); x++) {
      each((y * width + x) * stride);
      pixels += 1;
    }
  }
  return pixels;
}

/** Mean code of luminance of a block, 8-bit scale; null where it is uneven, coloured or near an end of the scale. */
function codesOf(frame: Frame, place: BlockPlace): number | null {
  const { channels, samples, transfer } = frame;
  const sums = channels.map(() => 0);
  const squares = channels.map(() => 0);
  let [luminance, least, greatest] = [0, 255, 0];
  const pixels = visit(frame, place, (at) => {
    for (const [c, channel] of channels.entries()) {
      const stored = samples[at + c] as number;
      const code = (255 * stored) / fullScaleOf(frame, channel);
      sums[c] = (sums[c] as number) + code;
      squares[c] = (squares[c] as number) + code * code;
      least = Math.min(least, code);
      greatest = Math.max(greatest, code);
      luminance += channel.luminance[stored] as number;
    }
  });
  if (!transfer || least < ROOM || greatest > 255 - ROOM) return null;
  const means = sums.map((sum) => sum / pixels);
  if (Math.max(...means) - Math.min(...means) > MOST_COLOUR) return null;
  const uneven = squares.some(
    (square, c) => square / pixels - squared(means[c] as number) > squared(MOST_CODE_DEVIATION),
  );
  return uneven ? null : 255 * transfer.encode(Math.min(1, luminance / pixels));
}

/** Mean light of a block as a share of saturation; null where it is uneven, clipped or black. */
function lightOf(frame: Frame, place: BlockPlace): number | null {
  const { channels, samples } = frame;
  let [sum, squares, clipped] = [0, 0, false];
  const pixels = visit(frame, place, (at) => {
    let light = 0;
    for (const [c, { luminance, clipCode }] of channels.entries()) {
      const code = samples[at + c] as number;
      clipped ||= code >= clipCode;
      light += luminance[code] as number;
    }
    sum += light;
    squares += light * light;
  });
  const mean = sum / pixels;
  if (clipped || mean <= 0) return null;
  return Math.sqrt(Math.max(0, squares / pixels - squared(mean))) > MOST_LIGHT_DEVIATION * mean
    ? null
    : mean;
}
