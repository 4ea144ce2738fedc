import type { TransferFunction } from "@tonefall/tone-core";
import { type Frame, fullScaleOf } from "../picture/frame.ts";

/** One small block of a picture, on one channel. */
export interface Block {
  /** Mean code on the 8-bit scale. */
  readonly code: number;
  /** Standard deviation of its codes. */
  readonly deviation: number;
  readonly pixels: number;
  readonly least: number;
  readonly greatest: number;
}

/** Blocks of a picture, on the same grid for every picture of that size. */
export interface BlockGrid {
  /** Names of channels; `luminance` last. */
  readonly channels: readonly string[];
  /** By channel, then by place. */
  readonly blocks: readonly (readonly Block[])[];
}

/** Most blocks along the longer side. */
const BLOCKS_ACROSS = 120;

/** Pixels along a block's side, and the fewest in a small picture. */
const BLOCK_SIDE = 8;
const LEAST_SIDE = 2;

/**
 * Codes of a rendered picture in small blocks over the whole frame, channel by channel and for luminance.
 *
 * A grey picture may be a sensor's mosaic, whose neighbours saw other filters: its blocks take every second pixel, so
 * that only sites of one parity come together.
 */
export function blockGrid(frame: Frame): BlockGrid {
  const { width, height, stride, samples, channels, transfer } = frame;
  const grey = channels.length === 1;
  const apart = grey ? 2 : 1;
  const phases = grey ? [0, 1] : [0];
  const side = Math.max(
    LEAST_SIDE,
    Math.min(BLOCK_SIDE, Math.floor(Math.min(width, height) / (40 * apart))),
  );
  const extent = side * apart;
  const pitch = Math.max(extent, Math.ceil(Math.max(width, height) / BLOCKS_ACROSS));
  const scales = channels.map((channel) => 255 / fullScaleOf(frame, channel));
  const white = channels.reduce(
    (sum, channel) => sum + (channel.luminance[fullScaleOf(frame, channel)] as number),
    0,
  );
  const tables = channels.map(({ luminance }) => luminance);
  const blocks: Block[][] = [...channels, null].map(() => []);
  // Codes and light of the current block; the memory is allocated once.
  const values = channels.map(() => new Float64Array(side * side));
  const light = new Float64Array(side * side);

  for (let top = 0; top + extent <= height; top += pitch) {
    for (let left = 0; left + extent <= width; left += pitch) {
      for (const dy of phases) {
        for (const dx of phases) {
          let at = 0;
          for (let y = top + dy; y < top + extent; y += apart) {
            for (let x = left + dx; x < left + extent; x += apart) {
              let luminance = 0;
              for (let c = 0; c < tables.length; c++) {
                const code = samples[(y * width + x) * stride + c] as number;
                luminance += tables[c]?.[code] as number;
                (values[c] as Float64Array)[at] = code * (scales[c] as number);
              }
              light[at] = luminance / white;
              at += 1;
            }
          }
          for (const [c, list] of values.entries()) (blocks[c] as Block[]).push(blockOf(list));
          (blocks.at(-1) as Block[]).push(encodedBlock(blockOf(light), transfer));
        }
      }
    }
  }
  return { channels: [...channels.map(({ name }) => name), "luminance"], blocks };
}

/** A block of linear luminance as codes: its mean is encoded, since encoded values have no mean. */
function encodedBlock(block: Block, transfer: TransferFunction | null): Block {
  const encode = (luminance: number): number => {
    const within = Math.min(1, Math.max(0, luminance));
    return 255 * (transfer ? transfer.encode(within) : within);
  };
  const { code, deviation, pixels, least, greatest } = block;
  const spread = encode(code + deviation) - encode(code - deviation);
  return {
    code: encode(code),
    deviation: spread / 2,
    pixels,
    least: encode(least),
    greatest: encode(greatest),
  };
}

function blockOf(values: Float64Array): Block {
  let [sum, squares, least, greatest] = [0, 0, Infinity, -Infinity];
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    sum += value;
    squares += value * value;
    if (value < least) least = value;
    if (value > greatest) greatest = value;
  }
  const pixels = values.length;
  const code = sum / pixels;
  const deviation = Math.sqrt(Math.max(0, squares / pixels - code * code));
  return { code, deviation, pixels, least, greatest };
}
