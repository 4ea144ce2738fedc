import { ToneError } from "../errors.ts";
import type { ToneRaster } from "../raster/toneRaster.ts";
import { binLuminance, fullScale, type ToneTally } from "./toneTally.ts";

/** What a region's tones come to. Luminance is relative: 1 is display white or sensor saturation, as the raster has it. */
export interface RegionStatistics {
  /** Pixels measured. */
  readonly pixels: number;
  /** Of these, the pixels that mean and percentiles were taken from: all, or an even lattice. */
  readonly tonedPixels: number;
  /** Share of the region's pixels left out because they are more than half transparent, in [0, 1]. */
  readonly transparentShare: number;
  /** Mean relative luminance: what a meter that integrates light would see. May be at or below 0 on a sensor. */
  readonly mean: number;
  /** Median relative luminance, within 0.0015 stop. */
  readonly median: number;
  /** Fifth percentile of relative luminance, within 0.0015 stop. */
  readonly p5: number;
  /** Ninety-fifth percentile of relative luminance, within 0.0015 stop. */
  readonly p95: number;
  /** Pixels with at least one clipped channel. */
  readonly clipped: {
    /** Share of the region in [0, 1]. */
    readonly share: number;
    /** The same channel by channel, in channel order. */
    readonly channels: readonly {
      /** The raster's name of the channel, such as `red`. */
      readonly name: string;
      /** Share of the region's pixels that are clipped in this channel, in [0, 1]. */
      readonly share: number;
    }[];
  };
  /** Pixels that hold no tone at all: every channel at or below its crush code. */
  readonly crushed: {
    /** Share of the region in [0, 1]. */
    readonly share: number;
  };
}

/**
 * Mean, percentiles and shares at the ends, from a region's tally.
 *
 * Percentiles are the smallest luminance with at least that share of pixels at or below it, given as the middle of its
 * bin; in black (at or below zero) they are 0.
 *
 * @param tally - from `tallyTone`
 * @param raster - the tallied raster, for its channel names
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` when the tally holds no pixel
 *
 * @example
 * ```ts
 * regionStatistics(tallyTone(raster, spans), raster).clipped.share; // 0.02: 2 % of the region has a clipped channel
 * ```
 */
export function regionStatistics(
  tally: ToneTally,
  raster: Pick<ToneRaster, "channels">,
): RegionStatistics {
  const { pixels, transparent } = tally;
  if (pixels === 0) {
    throw new ToneError(
      "TONE_EMPTY_INPUT",
      transparent > 0
        ? "Expected a region with visible pixels but every pixel of it is transparent"
        : "Expected a region that holds at least one pixel",
    );
  }
  return {
    pixels,
    tonedPixels: tally.tonedPixels,
    transparentShare: transparent / (pixels + transparent),
    mean: tally.luminanceSum / tally.tonedPixels,
    median: luminanceQuantile(tally, 0.5),
    p5: luminanceQuantile(tally, 0.05),
    p95: luminanceQuantile(tally, 0.95),
    clipped: {
      share: tally.clippedPixels / pixels,
      channels: raster.channels.map(({ name }, channel) => ({
        name,
        share: (tally.clippedByChannel[channel] as number) / pixels,
      })),
    },
    crushed: { share: tally.crushedPixels / pixels },
  };
}

/**
 * The luminance below which a share of the pixels lies.
 *
 * @param tally - with at least one pixel
 * @param share - in [0, 1]
 * @returns relative luminance at the middle of the bin that holds that pixel; 0 in black
 *
 * @example
 * ```ts
 * luminanceQuantile(tally, 0.5); // the median
 * ```
 */
export function luminanceQuantile(tally: ToneTally, share: number): number {
  const rank = Math.max(1, Math.ceil(share * tally.tonedPixels));
  let seen = 0;
  for (let bin = 0; bin < tally.bins.length; bin++) {
    seen += tally.bins[bin] as number;
    if (seen < rank) continue;
    // White sits at the lower edge of the last bin; its middle would be lighter than white.
    return bin === 0 ? 0 : Math.min(binLuminance(tally, bin, 0.5), fullScale(tally));
  }
  return 0;
}
