import type { ToneRaster } from "../raster/toneRaster.ts";
import type { CountingKernel } from "./countingKernel.ts";
import type { PixelCounter } from "./eightBitRgb.ts";
import type { RunningTally } from "./runningTally.ts";
import { binOf } from "./toneTally.ts";

/** A raster of a sensor with two by two filters: four codes of 16 bits to a cell. */
export interface FourCells extends ToneRaster {
  readonly samples: Uint16Array;
}

/** A raster as one of cells of four, which nearly every sensor is; null when it is of another kind. */
export function asFourCells(raster: ToneRaster): FourCells | null {
  const { samples, stride, channels } = raster;
  const isCode = (code: number): boolean => Number.isInteger(code) && code >= 0 && code <= 65535;
  const suits =
    samples instanceof Uint16Array &&
    stride === 4 &&
    channels.length === 4 &&
    channels.every(({ clipCode, crushCode }) => isCode(clipCode) && isCode(crushCode)) &&
    // A cell is clipped or crushed, never both, and there are codes between.
    channels.every(({ clipCode, crushCode }) => crushCode + 1 < clipCode);
  return suits ? (raster as FourCells) : null;
}

/**
 * The count of a sensor's cells: ends in WebAssembly, two cells at a time, tones by the tables of the tally, which are too
 * large to be handed over for every frame.
 *
 * @param step - 1 counts the tone of every cell; more, of every so many-th in reading order. Ends are all counted
 */
export function wasmCellCounter(
  kernel: CountingKernel,
  { samples, channels }: FourCells,
  tally: RunningTally,
  step: number,
): PixelCounter {
  const { buffer } = kernel.memory;
  const most = Math.floor((3 * kernel.INPUT_PIXELS.value) / 16) * 2;
  const input = new Uint16Array(buffer, kernel.INPUT.value, 4 * most);
  const ends = new Uint16Array(buffer, kernel.CELL_ENDS.value, 16);
  for (const [i, { clipCode, crushCode }] of [...channels, ...channels].entries()) {
    ends[i] = clipCode;
    ends[8 + i] = crushCode;
  }
  // Between the ends of every channel: it fills up a last pair of cells and counts as nothing.
  const neutral = channels.map(({ crushCode }) => crushCode + 1);
  kernel.clear();

  const count = (from: number, to: number): void => {
    for (let at = from; at < to; at += most) {
      const cells = Math.min(to - at, most);
      input.set(samples.subarray(4 * at, 4 * (at + cells)));
      if (cells % 2 === 1) input.set(neutral, 4 * cells);
      kernel.countCells(cells);
    }
    countTones(samples, tally, Math.ceil(from / step) * step, to, step);
    tally.pixels += to - from;
  };

  const finish = (): void => {
    tally.clippedPixels += kernel.clipped.value;
    tally.crushedPixels += kernel.crushed.value;
    const { clipped0, clipped1, clipped2, clipped3 } = kernel;
    for (const [channel, { value }] of [clipped0, clipped1, clipped2, clipped3].entries()) {
      tally.clippedByChannel[channel] = (tally.clippedByChannel[channel] as number) + value;
    }
  };
  return { multiple: 1, count, finish };
}

/** Adds every so many-th cell to the tally's sum and bins. */
function countTones(
  samples: Uint16Array,
  tally: RunningTally,
  from: number,
  to: number,
  step: number,
): void {
  const [a, b, c, d] = tally.luminance as [Int32Array, Int32Array, Int32Array, Int32Array];
  const { bins } = tally;
  let sum = 0;
  let cells = 0;
  for (let cell = from; cell < to; cell += step) {
    const at = 4 * cell;
    const light =
      (a[samples[at] as number] as number) +
      (b[samples[at + 1] as number] as number) +
      (c[samples[at + 2] as number] as number) +
      (d[samples[at + 3] as number] as number);
    const bin = binOf(light);
    bins[bin] = (bins[bin] as number) + 1;
    sum += light;
    cells++;
  }
  tally.sum += sum;
  tally.tonedPixels += cells;
}
