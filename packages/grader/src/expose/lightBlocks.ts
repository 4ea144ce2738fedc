import { log2 } from "@tonefall/tone-core";
import type { LinearPicture } from "../picture/linearPicture.ts";

/** Pixels along a block's side. */
export const BLOCK_SIDE = 16;

/** Mean luminance of a picture in blocks over the whole frame, by place, row by row; NaN where a block cannot be compared. */
export interface LightBlocks {
  readonly across: number;
  readonly down: number;
  readonly light: Float64Array;
}

/** Blocks darker than this share of middle grey hold too much noise to be compared: 3 1/3 stops under it. Our judgement. */
const LEAST_OF_MIDDLE = 1 / 10;

/**
 * The light of a picture in blocks. A block with a clipped pixel, or one too dark for its noise, is left out.
 */
export function lightBlocks({
  width,
  height,
  samples,
  stride,
  channels,
  luminanceRow,
  middleGrey,
}: LinearPicture): LightBlocks {
  const across = Math.floor(width / BLOCK_SIDE);
  const down = Math.floor(height / BLOCK_SIDE);
  const light = new Float64Array(across * down);
  const seconds = stride === 3 ? [0, 1, 2] : [0];
  const tables = seconds.map((c) => {
    const { light: table } = channels[c] as LinearPicture["channels"][number];
    const share = stride === 3 ? (luminanceRow[c] as number) : 1;
    return table.map((value) => share * value);
  });
  const clips = seconds.map((c) => (channels[c] as LinearPicture["channels"][number]).clipCode);
  for (let block = 0; block < light.length; block++) {
    const left = (block % across) * BLOCK_SIDE;
    const top = Math.floor(block / across) * BLOCK_SIDE;
    let sum = 0;
    let clipped = false;
    for (let y = top; y < top + BLOCK_SIDE; y++) {
      let at = stride * (y * width + left);
      for (let x = 0; x < BLOCK_SIDE; x++) {
        for (let c = 0; c < tables.length; c++, at++) {
          const code = samples[at] as number;
          sum += (tables[c] as Float64Array)[code] as number;
          clipped ||= code >= (clips[c] as number);
        }
      }
    }
    const mean = sum / (BLOCK_SIDE * BLOCK_SIDE);
    light[block] = clipped || mean < LEAST_OF_MIDDLE * middleGrey ? Number.NaN : mean;
  }
  return { across, down, light };
}

/** A block that two frames show. */
export interface SharedBlock {
  readonly block: number;
  /** How much lighter the second frame is there, stops. */
  readonly stops: number;
}

/** Blocks that both of two frames of one size show, with the difference of their light. */
export function sharedBlocks(a: LightBlocks, b: LightBlocks): readonly SharedBlock[] {
  const shared: SharedBlock[] = [];
  for (const [block, light] of a.light.entries()) {
    const other = b.light[block] as number;
    if (light > 0 && other > 0) shared.push({ block, stops: log2(other / light) });
  }
  return shared;
}
