import { log2 } from "@tonefall/tone-core";
import type { LinearPicture } from "../picture/linearPicture.ts";
import { NO_SHIFT, type Shift } from "./frameShift.ts";
import { isRendered, isTelling } from "./tellingCodes.ts";

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
 * The light of a picture in blocks. A block is left out that has a clipped pixel, is too dark for its noise, reaches beyond
 * the picture, or is of a rendering and has a colour whose code says little of light.
 *
 * @param shift - how far the picture's content lies from that of the picture whose blocks it is compared with
 */
export function lightBlocks(picture: LinearPicture, shift: Shift = NO_SHIFT): LightBlocks {
  const { width, height, samples, stride, channels, luminanceRow, middleGrey } = picture;
  const across = Math.floor(width / BLOCK_SIDE);
  const down = Math.floor(height / BLOCK_SIDE);
  const light = new Float64Array(across * down).fill(Number.NaN);
  const colours = stride === 3 ? [0, 1, 2] : [0];
  const of = colours.map((c) => channels[c] as LinearPicture["channels"][number]);
  const tables = of.map(({ light: table }, c) => {
    const share = stride === 3 ? (luminanceRow[c] as number) : 1;
    return table.map((value) => share * value);
  });
  const clips = of.map(({ clipCode }) => clipCode);
  const rendered = isRendered(picture);
  const columns = pixelsUnder(shift.right);
  const rows = pixelsUnder(shift.down);
  const codes = new Float64Array(stride);
  for (let block = 0; block < light.length; block++) {
    const left = (block % across) * BLOCK_SIDE + columns.first;
    const top = Math.floor(block / across) * BLOCK_SIDE + rows.first;
    if (left < 0 || top < 0) continue;
    if (left + columns.shares.length > width || top + rows.shares.length > height) continue;
    let sum = 0;
    let clipped = false;
    codes.fill(0);
    for (const [y, rowShare] of rows.shares.entries()) {
      let at = stride * ((top + y) * width + left);
      for (const columnShare of columns.shares) {
        const share = rowShare * columnShare;
        for (let c = 0; c < stride; c++, at++) {
          const code = samples[at] as number;
          sum += share * ((tables[c] as Float64Array)[code] as number);
          codes[c] = (codes[c] as number) + share * code;
          clipped ||= code >= (clips[c] as number);
        }
      }
    }
    const mean = sum / PIXELS;
    const tells = !rendered || codes.every((code) => isTelling(code / PIXELS));
    if (!clipped && tells && mean >= LEAST_OF_MIDDLE * middleGrey) light[block] = mean;
  }
  return { across, down, light };
}

/** Pixels of a block. */
const PIXELS = BLOCK_SIDE * BLOCK_SIDE;

/** The pixels that a block's side covers once it is shifted: where they begin, and how much of each it covers. */
function pixelsUnder(shift: number): {
  readonly first: number;
  readonly shares: readonly number[];
} {
  const first = Math.floor(shift);
  const part = shift - first;
  const whole = Array.from({ length: BLOCK_SIDE }, () => 1);
  return { first, shares: part === 0 ? whole : [1 - part, ...whole.slice(1), part] };
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
