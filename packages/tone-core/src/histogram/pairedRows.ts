import { ToneError } from "../errors.ts";
import { expectList, expectObject } from "../expectGiven.ts";
import { expectWhole } from "../expectNumber.ts";
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
 * @param width - cells across; with none, nothing is written
 * @param height - cells down; with none, nothing is written
 * @param cells - where they go: 4 × width × height codes; they may take the place of the samples, from their start
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a place or count that is not a whole number, cells that leave the mosaic or
 *   its row, or too little room for them
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
  expectObject("the mosaic", mosaic);
  expectList("the cells", cells);
  expectList("the mosaic's samples", mosaic.samples);
  requireRoom(mosaic, width, height, cells);
  const kernel = countingKernel();
  const pairs = kernel ? Math.floor(roomOf(kernel) / (2 * mosaic.pitch)) : 0;
  if (kernel && pairs > 0) pairByKernel(kernel, mosaic, width, height, cells, pairs);
  else pairOneByOne(mosaic, width, height, cells);
}

function requireRoom(
  { samples, pitch, left, top }: MosaicRows,
  width: number,
  height: number,
  cells: Uint16Array,
): void {
  const most = samples.length;
  expectWhole("the mosaic's pitch", pitch, 1, Number.MAX_SAFE_INTEGER);
  expectWhole("the first column", left, 0, pitch);
  expectWhole("the first row", top, 0, most);
  expectWhole("cells across", width, 0, (pitch - left) / 2);
  expectWhole("cells down", height, 0, most);
  const end = width * height === 0 ? 0 : (top + 2 * height - 1) * pitch + left + 2 * width;
  if (end > most || 4 * width * height > cells.length) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected ${end} samples and room for ${4 * width * height} codes for ${width} x ${height} cells but received ${most} and ${cells.length}`,
    );
  }
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
  const rows = new Uint16Array(2 * pitch);
  for (let y = 0, to = 0; y < height; y++) {
    const from = (top + 2 * y) * pitch;
    rows.set(samples.subarray(from, from + 2 * pitch));
    for (let at = left; at < left + 2 * width; at += 2, to += 4) {
      cells[to] = rows[at] as number;
      cells[to + 1] = rows[at + 1] as number;
      cells[to + 2] = rows[at + pitch] as number;
      cells[to + 3] = rows[at + pitch + 1] as number;
    }
  }
}
