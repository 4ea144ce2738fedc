import type { Spans, ToneRaster } from "@tonefall/tone-core";

/**
 * Counts of the sensor's own codes, one histogram of 65,536 bins a channel.
 *
 * @param raster - the stored codes; every sample of a pixel is a channel
 * @param spans - the region's pixels; the whole raster when left out
 */
export function sensorHistogram(
  raster: Pick<ToneRaster, "samples" | "stride" | "width" | "height">,
  spans: Spans = Int32Array.of(0, 0, raster.width * raster.height),
): readonly Uint32Array[] {
  const { samples, stride, width } = raster;
  const histograms = Array.from({ length: stride }, () => new Uint32Array(65536));
  for (let i = 0; i < spans.length; i += 3) {
    const row = (spans[i] as number) * width;
    const first = (row + (spans[i + 1] as number)) * stride;
    const end = (row + (spans[i + 2] as number)) * stride;
    if (stride === 4) {
      countCells(samples, first, end, histograms);
      continue;
    }
    for (const [channel, histogram] of histograms.entries()) {
      for (let at = first + channel; at < end; at += stride) {
        const code = samples[at] as number;
        histogram[code] = (histogram[code] as number) + 1;
      }
    }
  }
  return histograms;
}

/** Two by two filters, which nearly every sensor has: one pass instead of four. */
function countCells(
  samples: Uint8Array | Uint16Array,
  first: number,
  end: number,
  histograms: readonly Uint32Array[],
): void {
  const [a, b, c, d] = histograms as [Uint32Array, Uint32Array, Uint32Array, Uint32Array];
  for (let at = first; at < end; at += 4) {
    (a[samples[at] as number] as number)++;
    (b[samples[at + 1] as number] as number)++;
    (c[samples[at + 2] as number] as number)++;
    (d[samples[at + 3] as number] as number)++;
  }
}
