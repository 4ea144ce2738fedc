import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { ToneRaster } from "../raster/toneRaster.ts";
import { parseRegion } from "../region/parseRegion.ts";
import { rasteriseRegion, type Spans } from "../region/rasteriseRegion.ts";
import { mergeTallies } from "./mergeTallies.ts";
import { regionStatistics } from "./regionStatistics.ts";
import { tallyTone } from "./tallyTone.ts";
import {
  codeHistograms,
  encodedHistogram,
  linearHistogram,
  stopHistogram,
} from "./toneHistograms.ts";
import type { ToneTally } from "./toneTally.ts";

const SHARES = [0.2126, 0.7152, 0.0722] as const;

function linearise(encoded: number): number {
  return encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;
}

/** An 8-bit sRGB raster of given pixels. */
function rgb(pixels: readonly (readonly number[])[], width = pixels.length): ToneRaster {
  return {
    width,
    height: pixels.length / width,
    samples: Uint8Array.from(pixels.flat()),
    stride: 3,
    channels: ["red", "green", "blue"].map((name, channel) => ({
      name,
      luminance: Float64Array.from(
        { length: 256 },
        (_, code) => linearise(code / 255) * (SHARES[channel] as number),
      ),
      clipCode: 255,
      crushCode: 0,
    })),
  };
}

function whole(raster: ToneRaster): Spans {
  return rasteriseRegion({ shape: "whole" }, { ...raster, orientation: 1 });
}

/** A tally with its bins as text, which compares in no time; deep equality of 16,000 numbers does not. */
function compact(tally: ToneTally): object {
  return { ...tally, bins: tally.bins.join() };
}

function luminanceOf([r, g, b]: readonly number[]): number {
  return [r, g, b].reduce<number>(
    (sum, code, channel) => sum + (SHARES[channel] as number) * linearise((code as number) / 255),
    0,
  );
}

const code = fc.oneof(
  { weight: 4, arbitrary: fc.integer({ min: 0, max: 255 }) },
  { weight: 1, arbitrary: fc.constantFrom(0, 1, 127, 128, 254, 255) },
);
const pixel = fc.tuple(code, code, code);
const pixels = fc.array(pixel, { minLength: 1, maxLength: 200 });

describe("tallyTone", () => {
  test("finds the mean, the clipped and the crushed of three known pixels", () => {
    const raster = rgb([
      [255, 128, 0],
      [0, 0, 0],
      [118, 118, 118],
    ]);
    const tally = tallyTone(raster, whole(raster));
    const { mean, clipped, crushed } = regionStatistics(tally, raster);
    expect(mean).toBeCloseTo((luminanceOf([255, 128, 0]) + luminanceOf([118, 118, 118])) / 3, 8);
    expect(clipped).toEqual({
      share: 1 / 3,
      channels: [
        { name: "red", share: 1 / 3 },
        { name: "green", share: 0 },
        { name: "blue", share: 0 },
      ],
    });
    expect(crushed.share).toBe(1 / 3);
  });

  test("agrees with plain arithmetic on any pixels, any region", () => {
    fc.assert(
      fc.property(pixels, fc.integer({ min: 1, max: 7 }), (list, width) => {
        const fitted = list.slice(0, Math.max(width, list.length - (list.length % width)));
        while (fitted.length < width) fitted.push([1, 2, 3]);
        const raster = rgb(fitted, width);
        const region = parseRegion("ellipse:0.5,0.5,0.5,0.5");
        const spans = rasteriseRegion(region, { ...raster, orientation: 1 });
        const inside: (readonly number[])[] = [];
        for (let i = 0; i < spans.length; i += 3) {
          const row = (spans[i] as number) * width;
          inside.push(
            ...fitted.slice(row + (spans[i + 1] as number), row + (spans[i + 2] as number)),
          );
        }
        const tally = tallyTone(raster, spans);
        expect(tally.pixels).toBe(inside.length);
        expect(tally.clippedPixels).toBe(inside.filter((p) => p.includes(255)).length);
        expect(tally.clippedByChannel).toEqual(
          [0, 1, 2].map((channel) => inside.filter((p) => p[channel] === 255).length),
        );
        expect(tally.crushedPixels).toBe(inside.filter((p) => p.every((c) => c === 0)).length);
        expect(tally.luminanceSum).toBeCloseTo(
          inside.reduce((sum, p) => sum + luminanceOf(p), 0),
          6,
        );
        expect(tally.bins.reduce((sum, count) => sum + count, 0)).toBe(inside.length);
      }),
    );
  });

  test("the loop for 8-bit RGB and the general one count the same", () => {
    fc.assert(
      fc.property(pixels, (list) => {
        const raster = rgb(list);
        // The same picture with a fourth, opaque sample takes the general loop.
        const padded: ToneRaster = {
          ...raster,
          samples: Uint8Array.from(list.flatMap((p) => [...p, 255])),
          stride: 4,
        };
        expect(compact(tallyTone(padded, whole(padded), { alphaIndex: 3 }))).toEqual(
          compact(tallyTone(raster, whole(raster))),
        );
      }),
    );
  });

  test("the loop for a sensor's cells of four and the general one count the same", () => {
    const clips = [4000, 3900, 4095, 4000];
    const blacks = [128, 130, 127, 0];
    const tables = blacks.map((black, i) =>
      Float64Array.from({ length: 65536 }, (_, value) => ((value - black) / 4000) * (1 + i / 9)),
    );
    const sample = fc.oneof(
      fc.integer({ min: 0, max: 4096 }),
      fc.constantFrom(0, 127, 128, 129, 3899, 3900, 4000, 4095, 65535),
    );
    const dark = fc.constant([1, 2, 3, 0]);
    const cell = fc.oneof({ weight: 4, arbitrary: fc.tuple(sample, sample, sample, sample) }, dark);
    fc.assert(
      fc.property(fc.array(cell, { minLength: 1, maxLength: 60 }), fc.nat(), (cells, cut) => {
        const sensor = (stride: number): ToneRaster => ({
          width: cells.length,
          height: 1,
          samples: Uint16Array.from(cells.flatMap((c) => [...c, 9].slice(0, stride))),
          stride,
          channels: tables.map((luminance, i) => ({
            name: `channel ${i}`,
            luminance,
            clipCode: clips[i] as number,
            crushCode: blacks[i] as number,
          })),
        });
        const spans = Int32Array.of(0, cut % cells.length, cells.length);
        expect(compact(tallyTone(sensor(4), spans))).toEqual(compact(tallyTone(sensor(5), spans)));
      }),
      { numRuns: 40 },
    );
  });

  test("does not depend on the order or the partition of pixels", () => {
    fc.assert(
      fc.property(pixels, fc.nat(), (list, cut) => {
        const raster = rgb(list);
        const at = cut % (list.length + 1);
        const parts = [
          tallyTone(raster, Int32Array.of(0, 0, at)),
          tallyTone(raster, Int32Array.of(0, at, list.length)),
        ];
        const turned = rgb([...list].reverse());
        const tally = tallyTone(raster, whole(raster));
        expect(compact(mergeTallies(parts))).toEqual(compact(tally));
        expect(compact(tallyTone(turned, whole(turned)))).toEqual(compact(tally));
      }),
    );
  });

  test("doubling linear light moves the mean by exactly one stop", () => {
    const light = Float64Array.from({ length: 65536 }, (_, value) => value / 65536);
    const linear = (codes: readonly number[]): ToneRaster => ({
      width: codes.length,
      height: 1,
      samples: Uint16Array.from(codes),
      stride: 1,
      channels: [
        {
          name: "grey",
          luminance: light,
          clipCode: 65535,
          crushCode: 0,
        },
      ],
    });
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 32767 }), { minLength: 1, maxLength: 50 }),
        (codes) => {
          const once = linear(codes);
          const twice = linear(codes.map((value) => 2 * value));
          const mean = regionStatistics(tallyTone(once, whole(once)), once);
          const doubled = regionStatistics(tallyTone(twice, whole(twice)), twice);
          for (const key of ["mean", "median", "p5", "p95"] as const) {
            expect(Math.log2(doubled[key] / mean[key])).toBe(1);
          }
        },
      ),
      // Every run turns two tables of 65,536 codes into integers.
      { numRuns: 40 },
    );
  });

  test("keeps values below black in the mean of a sensor", () => {
    const raster: ToneRaster = {
      width: 2,
      height: 1,
      samples: Uint16Array.of(500, 540),
      stride: 1,
      channels: [
        {
          name: "grey",
          luminance: Float64Array.from({ length: 65536 }, (_, value) => (value - 512) / 15871),
          clipCode: 16383,
          crushCode: 512,
        },
      ],
    };
    const tally = tallyTone(raster, whole(raster));
    expect(tally.luminanceSum / 2).toBeCloseTo(8 / 15871, 8);
    expect(tally.bins[0]).toBe(1);
    expect(tally.crushedPixels).toBe(1);
  });

  test("leaves out pixels that are more than half transparent", () => {
    const raster: ToneRaster = {
      ...rgb([[200, 200, 200]]),
      width: 2,
      samples: Uint8Array.of(200, 200, 200, 127, 10, 10, 10, 128),
      stride: 4,
    };
    const tally = tallyTone(raster, whole(raster), { alphaIndex: 3 });
    expect(tally.transparent).toBe(1);
    expect(tally.luminanceSum).toBeCloseTo(luminanceOf([10, 10, 10]), 8);
  });

  test.each([
    { name: "a run past the row", spans: Int32Array.of(0, 0, 3) },
    { name: "a row past the picture", spans: Int32Array.of(1, 0, 1) },
    { name: "a negative column", spans: Int32Array.of(0, -1, 1) },
  ])("refuses $name", ({ spans }) => {
    const raster = rgb([
      [1, 1, 1],
      [2, 2, 2],
    ]);
    expect(() => tallyTone(raster, spans)).toThrow(
      expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
    );
  });

  test("refuses samples that do not fill the raster", () => {
    const raster = { ...rgb([[1, 1, 1]]), height: 2 };
    expect(() => tallyTone(raster, Int32Array.of(0, 0, 1))).toThrow(
      expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
    );
  });
});

describe("regionStatistics", () => {
  test("half code 20, half code 230 is the mean of light, not of codes", () => {
    // Averaging the codes (125) would read 0.96 stop too dark.
    const raster = rgb([
      [20, 20, 20],
      [230, 230, 230],
    ]);
    const { mean } = regionStatistics(tallyTone(raster, whole(raster)), raster);
    const light = (linearise(20 / 255) + linearise(230 / 255)) / 2;
    expect(Math.log2(mean / light)).toBeCloseTo(0, 6);
    expect(Math.log2(mean / linearise(125 / 255))).toBeCloseTo(0.96, 2);
  });

  test("percentiles are within 0.0015 stop of the pixel they name", () => {
    const list = Array.from({ length: 101 }, (_, i) => [i + 60, i + 60, i + 60]);
    const raster = rgb(list);
    const { p5, median, p95 } = regionStatistics(tallyTone(raster, whole(raster)), raster);
    for (const [value, rank] of [
      [p5, 6],
      [median, 51],
      [p95, 96],
    ] as const) {
      const truth = luminanceOf(list[rank - 1] as number[]);
      expect(Math.abs(Math.log2(value / truth))).toBeLessThan(0.0015);
    }
  });

  test("refuses a tally without pixels", () => {
    const raster = rgb([[1, 1, 1]]);
    expect(() => regionStatistics(tallyTone(raster, new Int32Array()), raster)).toThrow(
      expect.objectContaining({ code: "TONE_EMPTY_INPUT" }),
    );
  });
});

describe("histograms", () => {
  test("counts sum to the pixels, whatever the view", () => {
    fc.assert(
      fc.property(pixels, (list) => {
        const raster = rgb(list);
        const tally = tallyTone(raster, whole(raster));
        const views = [
          linearHistogram(tally),
          stopHistogram(tally, 0.18),
          encodedHistogram(tally, linearise),
        ];
        for (const { counts, below, above } of views) {
          expect(counts.reduce((sum, count) => sum + count, below + above)).toBe(list.length);
        }
        for (const { counts } of codeHistograms(raster, whole(raster))) {
          expect(counts.reduce((sum, count) => sum + count, 0)).toBe(list.length);
        }
      }),
    );
  });

  test("a grey of code 118 lies at code 118, at middle grey and at 18 % of light", () => {
    const raster = rgb([[118, 118, 118]]);
    const tally = tallyTone(raster, whole(raster));
    expect(encodedHistogram(tally, linearise).counts[118]).toBe(1);
    const linear = linearHistogram(tally);
    expect(linear.counts[Math.floor(luminanceOf([118, 118, 118]) * 256)]).toBe(1);
    const stops = stopHistogram(tally, 0.18);
    const cell = stops.counts.indexOf(1);
    expect(stops.edges[cell]).toBeCloseTo(0, 12);
  });

  test("every grey code lands on its own code", () => {
    const list = Array.from({ length: 256 }, (_, i) => [i, i, i]);
    const raster = rgb(list);
    const { counts } = encodedHistogram(tallyTone(raster, whole(raster)), linearise);
    expect(counts).toEqual(Array.from({ length: 256 }, () => 1));
  });

  test("white is in the last linear cell", () => {
    const raster = rgb([[255, 255, 255]]);
    const { counts, above } = linearHistogram(tallyTone(raster, whole(raster)));
    expect([counts.at(-1), above]).toEqual([1, 0]);
  });

  test("16-bit codes are gathered by their upper byte", () => {
    const raster: ToneRaster = {
      width: 2,
      height: 1,
      samples: Uint16Array.of(0x1234, 0xffff),
      stride: 1,
      channels: [
        { name: "grey", luminance: new Float64Array(65536), clipCode: 65535, crushCode: 0 },
      ],
    };
    const [grey] = codeHistograms(raster, whole(raster));
    expect([grey?.counts[0x12], grey?.counts[0xff]]).toEqual([1, 1]);
  });
});
