import type { ToneRaster } from "../raster/toneRaster.ts";
import { addTones } from "./addTones.ts";
import type { CellTables, CountingKernel } from "./countingKernel.ts";
import type { PixelCounter } from "./eightBitRgb.ts";
import type { RunningTally } from "./runningTally.ts";

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

/** As many cells as the kernel takes at a time: an even number. */
export function mostCells(kernel: CountingKernel): number {
  return Math.floor((3 * kernel.INPUT_PIXELS.value) / 16) * 2;
}

/**
 * The count of a sensor's cells in WebAssembly, fed in pieces that stay in the processor's cache.
 *
 * @param step - 1 counts the tone of every cell, n that of every nth in reading order. Ends are all counted
 */
export function wasmCellCounter(
  kernel: CountingKernel,
  { samples, channels }: FourCells,
  tally: RunningTally,
  step: number,
): PixelCounter {
  const { buffer } = kernel.memory;
  const most = mostCells(kernel);
  const input = new Uint16Array(buffer, kernel.INPUT.value, 4 * most);
  const ends = new Uint16Array(buffer, kernel.CELL_ENDS.value, 16);
  for (const [i, { clipCode, crushCode }] of [...channels, ...channels].entries()) {
    ends[i] = clipCode;
    ends[8 + i] = crushCode;
  }
  // Between the ends of every channel: it fills up a last pair of cells and counts as nothing.
  const neutral = channels.map(({ crushCode }) => crushCode + 1);
  const tables = tablesIn(kernel, tally);
  kernel.clear();

  const count = (from: number, to: number): void => {
    for (let at = from; at < to; at += most) {
      const cells = Math.min(to - at, most);
      input.set(samples.subarray(4 * at, 4 * (at + cells)));
      // The lattice is the raster's, whatever the region: parts of a frame add up to the whole.
      kernel.countCellTones(cells, (step - (at % step)) % step, step, ...tables);
      if (cells % 2 === 1) input.set(neutral, 4 * cells);
      kernel.countCells(cells);
    }
    tally.pixels += to - from;
  };

  const finish = (): void => {
    addTones(kernel, tally);
    tally.clippedPixels += kernel.clipped.value;
    tally.crushedPixels += kernel.crushed.value;
    const { clipped0, clipped1, clipped2, clipped3 } = kernel;
    for (const [channel, { value }] of [clipped0, clipped1, clipped2, clipped3].entries()) {
      tally.clippedByChannel[channel] = (tally.clippedByChannel[channel] as number) + value;
    }
  };
  return { multiple: 1, count, finish };
}

/** Hands the tables over; those that channels share, once: less to keep in the processor's cache. */
function tablesIn(kernel: CountingKernel, { luminance }: RunningTally): CellTables {
  const { buffer } = kernel.memory;
  const places = new Map<Int32Array, number>();
  for (const table of luminance) {
    if (places.has(table)) continue;
    const place = kernel.CELL_TABLES.value + places.size * 8 * table.length;
    new Float64Array(buffer, place, table.length).set(table);
    places.set(table, place);
  }
  return luminance.map((table) => places.get(table)) as CellTables;
}
