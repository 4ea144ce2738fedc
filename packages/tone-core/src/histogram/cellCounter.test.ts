import fc from "fast-check";
import { expect, test } from "vitest";
import type { ToneRaster } from "../raster/toneRaster.ts";
import { countingKernel } from "./countingKernel.ts";
import type { RunningTally } from "./runningTally.ts";
import { binOf, emptyBins } from "./toneTally.ts";
import { asFourCells, type FourCells, mostCells, wasmCellCounter } from "./wasmCellCounter.ts";

const BLACKS = [128, 130, 130, 0] as const;
const CLIPS = [4000, 3900, 3900, 4095] as const;

/** Light of a code in units, below nought under black; the two greens share a table. */
const GREEN = tableOf(130, 1e5);
const TABLES = [tableOf(128, 4e4), GREEN, GREEN, tableOf(0, 3e4)];

function tableOf(black: number, unitsPerCode: number): Int32Array {
  return Int32Array.from(
    { length: 65536 },
    (_, code) => (Math.min(code, 4095) - black) * unitsPerCode,
  );
}

function emptyTally(): RunningTally {
  return {
    luminance: TABLES,
    bins: emptyBins(),
    sum: 0,
    pixels: 0,
    tonedPixels: 0,
    transparent: 0,
    clippedPixels: 0,
    clippedByChannel: [0, 0, 0, 0],
    crushedPixels: 0,
  };
}

function cellsOf(samples: Uint16Array): FourCells {
  const raster: ToneRaster = {
    width: samples.length / 4,
    height: 1,
    samples,
    stride: 4,
    channels: TABLES.map((table, i) => ({
      name: `channel ${i}`,
      luminance: Float64Array.from(table),
      clipCode: CLIPS[i] as number,
      crushCode: BLACKS[i] as number,
    })),
  };
  return need(asFourCells(raster));
}

function need<T>(value: T | null): T {
  if (value === null) throw new Error("Expected a kernel and a raster of cells of four");
  return value;
}

/** What the counter is to find, cell by cell; of the tones, only those whose place in the raster is taken. */
function expected(samples: Uint16Array, from: number, to: number, step: number): RunningTally {
  const tally = emptyTally();
  for (let cell = from; cell < to; cell++) {
    const codes = [...samples.subarray(4 * cell, 4 * cell + 4)];
    const over = codes.map((code, i) => code >= (CLIPS[i] as number));
    tally.pixels++;
    if (over.includes(true)) tally.clippedPixels++;
    for (const [i, is] of over.entries()) {
      if (is) tally.clippedByChannel[i] = (tally.clippedByChannel[i] ?? 0) + 1;
    }
    if (codes.every((code, i) => code <= (BLACKS[i] as number))) tally.crushedPixels++;
    if (cell % step !== 0) continue;
    const light = codes.reduce((sum, code, i) => sum + ((TABLES[i] as Int32Array)[code] ?? 0), 0);
    tally.tonedPixels++;
    tally.sum += light;
    const bin = binOf(light);
    tally.bins[bin] = (tally.bins[bin] as number) + 1;
  }
  return tally;
}

/** A tally with its bins as text, which compares in no time; deep equality of 16,000 numbers does not. */
function compact({ luminance: _, bins, ...rest }: RunningTally): object {
  return { ...rest, bins: bins.join() };
}

function counted(samples: Uint16Array, from: number, to: number, step: number): object {
  const tally = emptyTally();
  const counter = wasmCellCounter(need(countingKernel()), cellsOf(samples), tally, step);
  counter.count(from, to);
  counter.finish();
  return compact(tally);
}

test("every end is counted, and the tones of every so many-th cell of the raster, bin for bin", () => {
  const code = fc.oneof(
    { weight: 3, arbitrary: fc.integer({ min: 0, max: 4200 }) },
    { weight: 1, arbitrary: fc.constantFrom(0, 127, 128, 129, 130, 131, 3900, 4000, 4095, 65535) },
  );
  const dark = fc.constant([100, 130, 2, 0]);
  const cell = fc.oneof({ weight: 5, arbitrary: fc.tuple(code, code, code, code) }, dark);
  fc.assert(
    fc.property(
      fc.array(cell, { minLength: 1, maxLength: 120 }),
      fc.nat(),
      fc.nat(),
      fc.constantFrom(1, 7, 9, 11),
      (cells, a, b, step) => {
        const samples = Uint16Array.from(cells.flat());
        const [from, to] = [a % (cells.length + 1), b % (cells.length + 1)].sort((x, y) => x - y);
        const span = [from as number, to as number] as const;
        expect(counted(samples, ...span, step)).toEqual(compact(expected(samples, ...span, step)));
      },
    ),
    { numRuns: 60 },
  );
});

test.each([1, 11])("pieces of a long run join without a seam, by steps of %i", (step) => {
  const cells = 2 * mostCells(need(countingKernel())) + 37;
  const samples = Uint16Array.from({ length: 4 * cells }, (_, i) => ((i * 40503) >>> 4) % 4100);
  expect(counted(samples, 5, cells, step)).toEqual(compact(expected(samples, 5, cells, step)));
});
