import fc from "fast-check";
import { expect, test } from "vitest";
import { pairedRows } from "./pairedRows.ts";

/** A mosaic whose every sample is its own place. */
function mosaic(pitch: number, rows: number): Uint16Array {
  return Uint16Array.from({ length: pitch * rows }, (_, i) => i & 0xffff);
}

/** The same by hand. */
function expected(
  pitch: number,
  left: number,
  top: number,
  width: number,
  height: number,
): number[] {
  return Array.from({ length: width * height }, (_, cell) => {
    const at = (top + 2 * Math.floor(cell / width)) * pitch + left + 2 * (cell % width);
    return [at, at + 1, at + pitch, at + pitch + 1].map((place) => place & 0xffff);
  }).flat();
}

test("a cell is two samples of one row and two of the next, wherever the part lies", () => {
  const side = fc.integer({ min: 1, max: 40 });
  const margin = fc.nat(5);
  fc.assert(
    fc.property(side, side, margin, margin, margin, (width, height, left, top, right) => {
      const pitch = left + 2 * width + right;
      const samples = mosaic(pitch, top + 2 * height);
      const cells = new Uint16Array(4 * width * height);
      pairedRows({ samples, pitch, left, top }, width, height, cells);
      expect([...cells]).toEqual(expected(pitch, left, top, width, height));
    }),
  );
});

test.each([
  ["in several pieces", 6016, 30],
  ["too long for the kernel", 40_000, 3],
])("rows %s", (_, pitch, height) => {
  const width = pitch / 2 - 3;
  const samples = mosaic(pitch, 2 * height + 1);
  const cells = new Uint16Array(4 * width * height);
  pairedRows({ samples, pitch, left: 5, top: 1 }, width, height, cells);
  const want = expected(pitch, 5, 1, width, height);
  // Deep equality of so many numbers takes its time.
  expect(cells.findIndex((code, at) => code !== want[at])).toBe(-1);
});

test.each([
  ["in several pieces", 6016, 30, 5],
  ["too long for the kernel", 40_000, 3, 0],
])("cells take the place of the samples, rows %s", (_, pitch, height, left) => {
  const width = Math.floor((pitch - left) / 2);
  const samples = mosaic(pitch, 2 * height);
  const want = expected(pitch, left, 0, width, height);
  pairedRows({ samples, pitch, left, top: 0 }, width, height, samples);
  expect(want.findIndex((code, at) => code !== samples[at])).toBe(-1);
});
