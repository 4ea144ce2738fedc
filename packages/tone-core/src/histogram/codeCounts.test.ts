import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { ToneRaster } from "../raster/toneRaster.ts";
import type { Spans } from "../region/rasteriseRegion.ts";
import { codeCounts } from "./codeCounts.ts";
import { countingKernel } from "./countingKernel.ts";
import { mostCells } from "./wasmCellCounter.ts";

type Raster = Pick<ToneRaster, "samples" | "stride" | "width" | "height">;

/** Codes that occur, with their counts, channel by channel. */
function occurring(counts: readonly Uint32Array[]): string[][] {
  return counts.map((channel) =>
    [...channel.entries()]
      .filter(([, count]) => count > 0)
      .map(([code, count]) => `${code}:${count}`),
  );
}

/** The same, pixel by pixel. */
function expected({ samples, stride, width }: Raster, spans: Spans): string[][] {
  return Array.from({ length: stride }, (_, channel) => {
    const counts = new Map<number, number>();
    for (let i = 0; i < spans.length; i += 3) {
      const [row, first, end] = [...spans.subarray(i, i + 3)] as [number, number, number];
      for (let column = first; column < end; column++) {
        const code = samples[(row * width + column) * stride + channel] as number;
        counts.set(code, (counts.get(code) ?? 0) + 1);
      }
    }
    return [...counts].sort(([a], [b]) => a - b).map(([code, count]) => `${code}:${count}`);
  });
}

describe("codeCounts", () => {
  test("counts each channel's own codes, and of a region only its runs", () => {
    const samples = Uint16Array.of(1, 10, 2, 20, 3, 30, 4, 40);
    const raster = { width: 2, height: 2, stride: 2, samples };
    const whole = codeCounts(raster);
    expect([1, 2, 3, 4].map((code) => whole[0]?.[code])).toEqual([1, 1, 1, 1]);
    expect(whole[1]?.[30]).toBe(1);
    const corner = codeCounts(raster, Int32Array.of(1, 0, 1));
    expect(corner[0]?.[3]).toBe(1);
    expect(corner[0]?.reduce((sum, count) => sum + count, 0)).toBe(1);
  });

  test("agrees with counting one by one, whatever the samples to a pixel, codes and runs", () => {
    const code = fc.oneof(fc.integer({ min: 0, max: 65535 }), fc.constantFrom(0, 1, 16383, 65535));
    const raster = fc
      .record({
        stride: fc.constantFrom(1, 3, 4, 4, 4, 5),
        width: fc.integer({ min: 1, max: 9 }),
        height: fc.integer({ min: 1, max: 9 }),
      })
      .chain((size) =>
        fc.record({
          raster: fc
            .array(code, {
              minLength: size.stride * size.width * size.height,
              maxLength: size.stride * size.width * size.height,
            })
            .map((codes): Raster => ({ ...size, samples: Uint16Array.from(codes) })),
          ends: fc.array(fc.tuple(fc.nat(size.width), fc.nat(size.width)), {
            minLength: size.height,
            maxLength: size.height,
          }),
        }),
      );
    fc.assert(
      fc.property(raster, ({ raster: any, ends }) => {
        const runs = ends.map(([a, b], row) => [row, Math.min(a, b), Math.max(a, b)]);
        const spans = Int32Array.from(runs.flat());
        expect(occurring(codeCounts(any, spans))).toEqual(expected(any, spans));
      }),
      { numRuns: 60 },
    );
  });

  test("pieces of a long run join without a seam", () => {
    const kernel = countingKernel();
    if (!kernel) throw new Error("Expected a kernel");
    const width = 2 * mostCells(kernel) + 37;
    const samples = Uint16Array.from(
      { length: 4 * width },
      (_, i) => (i * 40503 + (i >>> 5)) & 4095,
    );
    const raster = { width, height: 1, stride: 4, samples };
    expect(occurring(codeCounts(raster))).toEqual(expected(raster, Int32Array.of(0, 0, width)));
  });

  test("refuses a region of another raster", () => {
    const raster = { width: 1, height: 1, stride: 4, samples: Uint16Array.of(1, 2, 3, 4) };
    expect(() => codeCounts(raster, Int32Array.of(0, 0, 2))).toThrow("Expected runs inside 1 x 1");
  });
});
