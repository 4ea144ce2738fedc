import { expectObject } from "../expectGiven.ts";
import { expectRaster } from "../raster/expectRaster.ts";
import type { ToneRaster } from "../raster/toneRaster.ts";
import type { Spans } from "../region/rasteriseRegion.ts";
import { type CountingKernel, countingKernel } from "./countingKernel.ts";
import { pixelRuns } from "./pixelRuns.ts";
import { requireInside } from "./requireInside.ts";
import { mostCells } from "./wasmCellCounter.ts";

/** Codes of a sample. */
const CODES = 65536;

/**
 * Counts of a raster's own codes, 65,536 of them for every sample of a pixel: what a sensor recorded, before white balance
 * and without a curve.
 *
 * @param raster - the stored codes; every sample of a pixel is a channel
 * @param spans - the region's pixels; the whole raster when left out
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when a run leaves the raster, or its samples do not fill it
 *
 * @example
 * ```ts
 * codeCounts(raster)[0]?.[512]; // samples of the first channel with code 512
 * ```
 */
export function codeCounts(
  raster: Pick<ToneRaster, "samples" | "stride" | "width" | "height">,
  spans?: Spans,
): readonly Uint32Array[] {
  expectObject("the raster", raster);
  const { samples, stride, width, height } = raster;
  expectRaster(raster);
  if (spans) requireInside(spans, raster);
  const runs = spans ? pixelRuns(spans, width) : [[0, width * height] as const];
  const kernel = stride === 4 && samples instanceof Uint16Array ? countingKernel() : null;
  return kernel ? countCells(kernel, samples, runs) : countSamples(samples, stride, runs);
}

/** Two by two filters, which nearly every sensor has: all four channels in one pass. */
function countCells(
  kernel: CountingKernel,
  samples: ToneRaster["samples"],
  runs: Iterable<readonly [number, number]>,
): readonly Uint32Array[] {
  const { buffer } = kernel.memory;
  const most = mostCells(kernel);
  const input = new Uint16Array(buffer, kernel.INPUT.value, 4 * most);
  kernel.clearCodes();
  for (const [from, to] of runs) {
    for (let at = from; at < to; at += most) {
      const end = Math.min(to, at + most);
      input.set(samples.subarray(4 * at, 4 * end));
      kernel.countCodes(end - at);
    }
  }
  return [0, 1, 2, 3].map((channel) => {
    const place = kernel.CODE_COUNTS.value + channel * 4 * CODES;
    return new Uint32Array(buffer, place, CODES).slice();
  });
}

function countSamples(
  samples: ToneRaster["samples"],
  stride: number,
  runs: Iterable<readonly [number, number]>,
): readonly Uint32Array[] {
  const histograms = Array.from({ length: stride }, () => new Uint32Array(CODES));
  for (const [from, to] of runs) {
    for (const [channel, histogram] of histograms.entries()) {
      for (let at = from * stride + channel; at < to * stride; at += stride) {
        const code = samples[at] as number;
        histogram[code] = (histogram[code] as number) + 1;
      }
    }
  }
  return histograms;
}
