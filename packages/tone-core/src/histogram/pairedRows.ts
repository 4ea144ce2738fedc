import { type CountingKernel, countingKernel } from "./countingKernel.ts";

/** A mosaic's samples, row by row, and the corner of the part that is wanted. */
export interface MosaicRows {
  /** Codes as stored, at least `pitch` × rows of them. */
  readonly samples: Uint16Array;
  /** Samples from one row to the next. */
  readonly pitch: number;
  /** Column of the first sample that is wanted. */
  readonly left: number;
  /** Its row. */
  readonly top: number;
}

/**
 * Lays a mosaic out cell by cell, as a raster of two by two filters holds it: two samples of one row, two of the next.
 *
 * @param mosaic - samples as a sensor is read
 * @param width - cells across
 * @param height - cells down
 * @param cells - where they go: 4 × width × height codes
 *
 * @example
 * ```ts
 * pairedRows({ samples: Uint16Array.of(1, 2, 3, 4), pitch: 2, left: 0, top: 0 }, 1, 1, new Uint16Array(4));
 * ```
 */
export function pairedRows(
  mosaic: MosaicRows,
  width: number,
  height: number,
  cells: Uint16Array,
): void {
  const kernel = countingKernel();
  const pairs = kernel ? Math.floor(roomOf(kernel) / (2 * mosaic.pitch)) : 0;
  if (kernel && pairs > 0) pairByKernel(kernel, mosaic, width, height, cells, pairs);
  else pairOneByOne(mosaic, width, height, cells);
}

/** Codes that the kernel takes at a time. */
function roomOf(kernel: CountingKernel): number {
  return Math.floor((3 * kernel.INPUT_PIXELS.value) / 2);
}

/** @param most - pairs of rows at a time: they stay in the processor's cache */
function pairByKernel(
  kernel: CountingKernel,
  { samples, pitch, left, top }: MosaicRows,
  width: number,
  height: number,
  cells: Uint16Array,
  most: number,
): void {
  const { buffer } = kernel.memory;
  const input = new Uint16Array(buffer, kernel.INPUT.value, roomOf(kernel));
  const output = new Uint16Array(buffer, kernel.OUTPUT.value, roomOf(kernel));
  for (let y = 0; y < height; y += most) {
    const pairs = Math.min(most, height - y);
    const from = (top + 2 * y) * pitch;
    input.set(samples.subarray(from, from + 2 * pairs * pitch));
    kernel.pairRows(pairs, pitch, left, width);
    cells.set(output.subarray(0, 4 * pairs * width), 4 * y * width);
  }
}

/** Where WebAssembly may not run, and for rows longer than the kernel takes. */
function pairOneByOne(
  { samples, pitch, left, top }: MosaicRows,
  width: number,
  height: number,
  cells: Uint16Array,
): void {
  for (let y = 0, to = 0; y < height; y++) {
    const upper = (top + 2 * y) * pitch + left;
    for (let at = upper; at < upper + 2 * width; at += 2, to += 4) {
      cells[to] = samples[at] as number;
      cells[to + 1] = samples[at + 1] as number;
      cells[to + 2] = samples[at + pitch] as number;
      cells[to + 3] = samples[at + pitch + 1] as number;
    }
  }
}
