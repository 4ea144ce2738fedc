import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { ToneRaster } from "../raster/toneRaster.ts";
import { SRGB } from "../transfer/namedTransfers.ts";
import { luminanceQuantile } from "./regionStatistics.ts";
import { tallyTone } from "./tallyTone.ts";
import {
  encodedHistogram,
  type Histogram,
  linearHistogram,
  stopHistogram,
} from "./toneHistograms.ts";

/** Light of a code in whole parts of 2^-16: the tally rounds nothing, so that what remains is the bins'. */
const LIGHT = Float64Array.from({ length: 65536 }, (_, code) => code / 65536);

function sensor(codes: readonly number[], gain = 1): ToneRaster {
  const luminance = gain === 1 ? LIGHT : LIGHT.map((light) => light * gain);
  return {
    width: codes.length,
    height: 1,
    samples: Uint16Array.from(codes),
    stride: 1,
    channels: [{ name: "grey", luminance, clipCode: 65535, crushCode: 0 }],
  };
}

function tallied(raster: ToneRaster): ReturnType<typeof tallyTone> {
  return tallyTone(raster, Int32Array.of(0, 0, raster.width));
}

const codes = fc.array(
  fc.oneof(fc.integer({ min: 0, max: 65535 }), fc.integer({ min: 0, max: 600 })),
  { minLength: 1, maxLength: 400 },
);

/** Pixels below a light, counted one by one. */
function directlyBelow(lights: readonly number[], edge: number): number {
  return lights.filter((light) => light < edge).length;
}

/** Half of a bin at its widest, as a part of the luminance. */
const HALF_BIN = 1 / 1024;

/**
 * Holds every edge to the pixels themselves: no more of them may stand on its wrong side than lie within half a bin of it.
 *
 * @param edges - in light
 */
function expectBounded(
  { counts, below }: Histogram,
  edges: readonly number[],
  lights: number[],
): void {
  let seen = below;
  const misplaced = edges.filter((edge, i) => {
    const before = seen;
    seen += counts[i] ?? 0;
    return (
      before < directlyBelow(lights, edge * (1 - HALF_BIN)) ||
      before > directlyBelow(lights, edge * (1 + HALF_BIN))
    );
  });
  expect(misplaced).toEqual([]);
}

describe("linearHistogram", () => {
  test.each([1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024])(
    "of %i cells counts as one by one",
    (cells) => {
      fc.assert(
        fc.property(codes, (list) => {
          const direct = new Array<number>(cells).fill(0);
          for (const code of list) {
            const cell = Math.floor((code / 65536) * cells);
            direct[cell] = (direct[cell] as number) + 1;
          }
          const { counts, below, above } = linearHistogram(tallied(sensor(list)), cells);
          expect(counts).toEqual(direct);
          expect([below, above]).toEqual([0, 0]);
        }),
        { numRuns: 5 },
      );
    },
  );

  test("of any cells misplaces no pixel that is further than half a bin from an edge", () => {
    fc.assert(
      fc.property(codes, fc.integer({ min: 1, max: 1500 }), (list, cells) => {
        const histogram = linearHistogram(tallied(sensor(list)), cells);
        const lights = list.map((code) => code / 65536);
        const inner = histogram.edges.slice(0, -1);
        expectBounded(histogram, inner, lights);
        expect(histogram.counts.reduce((sum, count) => sum + count, histogram.above)).toBe(
          list.length,
        );
      }),
      { numRuns: 40 },
    );
  });

  test("of a hundred cells is bounded over every light there is", () => {
    const all = Array.from({ length: 65536 }, (_, code) => code);
    const histogram = linearHistogram(tallied(sensor(all)), 100);
    let seen = 0;
    const misplaced = histogram.edges.slice(0, -1).filter((edge, i) => {
      const direct = Math.ceil(edge * 65536);
      const off = Math.abs(seen - direct);
      seen += histogram.counts[i] as number;
      return off > Math.ceil(direct * HALF_BIN);
    });
    expect(misplaced).toEqual([]);
  });

  test("holds white in its last cell, and what is a bin above it beyond", () => {
    const raster = sensor([32768, 32769, 33000, 65535], 2);
    const { counts, above } = linearHistogram(tallied(raster), 4);
    expect([counts.at(-1), above]).toEqual([2, 2]);
  });
});

test("stopHistogram misplaces no pixel that is further than half a bin from an edge", () => {
  fc.assert(
    fc.property(codes, fc.integer({ min: 1, max: 12 }), (list, cellsPerStop) => {
      const histogram = stopHistogram(tallied(sensor(list)), 0.18, [-8, 2], cellsPerStop);
      const edges = histogram.edges.map((stop) => 0.18 * 2 ** stop);
      expectBounded(
        histogram,
        edges,
        list.map((code) => code / 65536),
      );
    }),
    { numRuns: 40 },
  );
});

test("encodedHistogram misplaces no pixel that is further than half a bin from an edge", () => {
  fc.assert(
    fc.property(codes, (list) => {
      const { counts } = encodedHistogram(tallied(sensor(list)), SRGB.linearise);
      const edges = Array.from({ length: 255 }, (_, i) => SRGB.linearise((i + 0.5) / 255));
      const [below = 0, ...inner] = counts;
      expectBounded(
        { edges, counts: inner, below, above: 0 },
        edges,
        list.map((code) => code / 65536),
      );
    }),
    { numRuns: 40 },
  );
});

describe("luminanceQuantile", () => {
  const stops = (value: number, truth: number): number => Math.abs(Math.log2(value / truth));

  test("between the halves of two tones is their mean, and a hair to either side one of them", () => {
    const tally = tallied(sensor([16384, 16384, 49152, 49152]));
    expect(stops(luminanceQuantile(tally, 0.5), 0.5)).toBeLessThan(0.0015);
    expect(stops(luminanceQuantile(tally, 0.4999), 0.25)).toBeLessThan(0.0015);
    expect(stops(luminanceQuantile(tally, 0.5001), 0.75)).toBeLessThan(0.0015);
  });

  test("is that of the pixels one by one, within half a bin", () => {
    const bright = fc.array(fc.integer({ min: 1, max: 65535 }), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(bright, fc.integer({ min: 0, max: 100 }), (list, percent) => {
        const sorted = [...list].sort((a, b) => a - b);
        const [n, rest] = [(percent * list.length) / 100, (percent * list.length) % 100];
        const at = (rank: number): number =>
          sorted[Math.min(list.length, Math.max(1, rank)) - 1] as number;
        const truth = rest === 0 ? (at(n) + at(n + 1)) / 2 : at(Math.ceil(n));
        const value = luminanceQuantile(tallied(sensor(list)), percent / 100);
        expect(stops(value, truth / 65536)).toBeLessThan(0.0015);
      }),
      { numRuns: 60 },
    );
  });
});
