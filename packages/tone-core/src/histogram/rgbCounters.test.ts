import fc from "fast-check";
import { expect, test } from "vitest";
import type { ToneRaster } from "../raster/toneRaster.ts";
import { countingKernel } from "./countingKernel.ts";
import { asEightBitRgb, type PixelCounter } from "./eightBitRgb.ts";
import { latticeStep } from "./latticeStep.ts";
import { plainRgbCounter } from "./plainRgbCounter.ts";
import type { RunningTally } from "./runningTally.ts";
import { LATTICE_FROM_PIXELS, tallyTone } from "./tallyTone.ts";
import { binOf, emptyBins } from "./toneTally.ts";
import { wasmRgbCounter } from "./wasmRgbCounter.ts";

/** Light of a code in units, for three channels: steep and flat, and never more than 2^30 together. */
const TABLES = [0.3, 0.6, 0.1].map((share) =>
  Int32Array.from({ length: 256 }, (_, code) => Math.round((code / 255) ** 2.4 * share * 2 ** 30)),
);
// The first codes are below one unit in a curve this steep; light above black is what the loops ask for.
for (const table of TABLES) for (let code = 1; table[code] === 0; code++) table[code] = code;

function emptyTally(): RunningTally {
  return {
    luminance: TABLES,
    bins: emptyBins(),
    sum: 0,
    pixels: 0,
    tonedPixels: 0,
    transparent: 0,
    clippedPixels: 0,
    clippedByChannel: [0, 0, 0],
    crushedPixels: 0,
  };
}

function rasterOf(samples: Uint8Array, width = samples.length / 3): ToneRaster {
  return {
    width,
    height: samples.length / 3 / width,
    samples,
    stride: 3,
    channels: ["red", "green", "blue"].map((name, channel) => ({
      name,
      luminance: Float64Array.from(TABLES[channel] as Int32Array, (units) => units / 2 ** 30),
      clipCode: 255,
      crushCode: 0,
    })),
  };
}

/** What the loops are to find, pixel by pixel; of the tones, only those whose place in the raster is taken. */
function expected(samples: Uint8Array, from: number, to: number, step = 1): RunningTally {
  const tally = emptyTally();
  for (let pixel = from; pixel < to; pixel++) {
    const codes = [...samples.subarray(3 * pixel, 3 * pixel + 3)];
    tally.pixels++;
    if (codes.includes(255)) tally.clippedPixels++;
    for (const [channel, code] of codes.entries()) {
      if (code === 255)
        tally.clippedByChannel[channel] = (tally.clippedByChannel[channel] ?? 0) + 1;
    }
    if (codes.every((code) => code === 0)) tally.crushedPixels++;
    if (pixel % step !== 0) continue;
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

function run(counter: PixelCounter, tally: RunningTally, from: number, to: number): object {
  counter.count(from, to);
  counter.finish();
  return compact(tally);
}

function pieces<T>(value: T | null): T {
  if (value === null) throw new Error("Expected a kernel and a raster of 8-bit red, green, blue");
  return value;
}

const code = fc.oneof(
  { weight: 3, arbitrary: fc.integer({ min: 0, max: 255 }) },
  { weight: 1, arbitrary: fc.constantFrom(0, 0, 1, 127, 128, 254, 255) },
);
/** Pixels by fours, some of them runs of one colour. */
const samples = fc
  .array(fc.tuple(code, code, code, fc.constantFrom(1, 1, 2, 40)), { minLength: 1, maxLength: 120 })
  .map((runs) => runs.flatMap(([r, g, b, times]) => Array(times).fill([r, g, b]).flat()))
  .map((codes) => Uint8Array.from(codes.slice(0, codes.length - (codes.length % 12))))
  .filter((codes) => codes.length > 0);

test("WebAssembly, JavaScript and plain arithmetic count the same, bin for bin", () => {
  fc.assert(
    fc.property(samples, fc.nat(), fc.nat(), (codes, a, b) => {
      const groups = codes.length / 12;
      const [from, to] = [4 * (a % (groups + 1)), 4 * (b % (groups + 1))].sort((x, y) => x - y);
      const span = [from as number, to as number] as const;
      const want = compact(expected(codes, ...span));
      const [plain, wasm] = [emptyTally(), emptyTally()];
      const rgb = pieces(asEightBitRgb(rasterOf(codes), plain));
      expect(run(plainRgbCounter(rgb, plain), plain, ...span)).toEqual(want);
      const kernel = pieces(countingKernel());
      expect(run(wasmRgbCounter(kernel, rgb, wasm, 1), wasm, ...span)).toEqual(want);
    }),
  );
});

test("a lattice counts every end, and the tones of every so many-th pixel of the raster", () => {
  fc.assert(
    fc.property(samples, fc.nat(), fc.nat(), fc.constantFrom(7, 9, 11, 13), (codes, a, b, step) => {
      const pixels = codes.length / 3;
      const [from, to] = [a % (pixels + 1), b % (pixels + 1)].sort((x, y) => x - y);
      const span = [from as number, to as number] as const;
      const tally = emptyTally();
      const rgb = pieces(asEightBitRgb(rasterOf(codes), tally));
      expect(
        run(wasmRgbCounter(pieces(countingKernel()), rgb, tally, step), tally, ...span),
      ).toEqual(compact(expected(codes, ...span, step)));
    }),
  );
});

test.each([1, 11])("pieces of a long run join without a seam, by steps of %i", (step) => {
  const kernel = pieces(countingKernel());
  const pixels = 2 * kernel.INPUT_PIXELS.value + 37;
  const codes = Uint8Array.from({ length: 3 * pixels }, (_, i) => (i * 40503 + (i >>> 5)) & 255);
  const tally = emptyTally();
  const rgb = pieces(asEightBitRgb(rasterOf(codes), tally));
  expect(run(wasmRgbCounter(kernel, rgb, tally, step), tally, 5, pixels)).toEqual(
    compact(expected(codes, 5, pixels, step)),
  );
});

test("tallyTone(lattice) takes one in about nine pixels of a large region, and all of a small one", () => {
  const width = 1300;
  const height = Math.ceil(LATTICE_FROM_PIXELS / width);
  const raster = rasterOf(
    Uint8Array.from({ length: 3 * width * height }, (_, i) => (i * 193) & 255),
    width,
  );
  const rows = (count: number): Int32Array =>
    Int32Array.from(Array.from({ length: count }, (_, row) => [row, 0, width]).flat());
  const large = tallyTone(raster, rows(height), { lattice: true });
  expect(large.pixels).toBe(width * height);
  expect(large.tonedPixels).toBe(Math.ceil((width * height) / latticeStep(width)));
  const exact = tallyTone(raster, rows(height));
  expect(exact.tonedPixels).toBe(exact.pixels);
  expect(large.clippedByChannel).toEqual(exact.clippedByChannel);
  const small = tallyTone(raster, rows(height - 2), { lattice: true });
  expect(small.tonedPixels).toBe(small.pixels);
});

test("latticeStep(width) visits every column, never in columns or in slanting lines", () => {
  const widths = Array.from({ length: 19_001 }, (_, i) => 1000 + i);
  const uneven = widths.filter((width) => {
    const step = latticeStep(width);
    const shift = width % step;
    const visited = new Set(Array.from({ length: step }, (_, row) => (row * shift) % step));
    return visited.size < step || shift === 1 || shift === step - 1;
  });
  expect(uneven).toEqual([]);
});
