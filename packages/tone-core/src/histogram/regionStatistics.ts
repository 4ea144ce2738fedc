import { ToneError } from "../errors.ts";
import { expectList, expectObject } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";
import type { ToneRaster } from "../raster/toneRaster.ts";
import { quantileRanks } from "../statistics/quantile.ts";
import { expectTally } from "./expectTally.ts";
import { fullScale, luminanceIn, type ToneTally } from "./toneTally.ts";

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
      /** The raster's name for the channel, such as `red`. */
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
 * Percentiles are those of {@link luminanceQuantile}.
 *
 * @param tally - from `tallyTone`
 * @param raster - the tallied raster, for its channel names
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` when the tally holds no pixel, or none whose tone was counted;
 *   `TONE_OUT_OF_RANGE` when it is of another raster, or none that `tallyTone` makes
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
  expectObject("the tally", tally);
  expectObject("the raster", raster);
  expectList("the raster's channels", raster.channels);
  const { pixels, transparent } = tally;
  if (pixels === 0 || tally.tonedPixels === 0) {
    throw new ToneError(
      "TONE_EMPTY_INPUT",
      transparent > 0
        ? "Expected a region with visible pixels but every pixel of it is transparent"
        : "Expected a region that holds at least one pixel",
    );
  }
  if (tally.clippedByChannel.length !== raster.channels.length) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected a tally of ${raster.channels.length} channels but received one of ${tally.clippedByChannel.length}`,
    );
  }
  return {
    pixels,
    tonedPixels: tally.tonedPixels,
    transparentShare: transparent / (pixels + transparent),
    mean: expectFinite("mean luminance", tally.luminanceSum / tally.tonedPixels),
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
 * The luminance at or below which a share of the pixels is: R's type 2, as the function `quantile` has it.
 *
 * The smallest luminance with at least that share of the pixels at or below it; where these are exactly that share, the
 * mean of it and the next. A pixel's luminance is the middle of its bin, within 0.0015 stop, and 0 in black.
 *
 * @param tally - from `tallyTone`, with at least one pixel
 * @param share - in [0, 1]; 0 gives the darkest pixel, 1 the lightest
 * @returns relative luminance, 0 or more
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` for a tally without a pixel, `TONE_OUT_OF_RANGE` for a share outside [0, 1]
 *   or a tally whose bins do not hold its pixels
 * @see [QUANTILES]
 *
 * @example
 * ```ts
 * luminanceQuantile(tally, 0.5); // the median
 * ```
 */
export function luminanceQuantile(tally: ToneTally, share: number): number {
  expectTally(tally);
  const [low, high] = quantileRanks(tally.tonedPixels, share);
  const lower = binOfRank(tally, low);
  const upper = low === high ? lower : binOfRank(tally, high);
  const darker = luminanceOfPixel(tally, lower);
  return lower === upper ? darker : (darker + luminanceOfPixel(tally, upper)) / 2;
}

/** The bin of the pixel of a rank from 0, the darkest. */
function binOfRank({ bins }: ToneTally, rank: number): number {
  let seen = 0;
  for (let bin = 0; bin < bins.length; bin++) {
    seen += bins[bin] as number;
    if (seen > rank) return bin;
  }
  throw new ToneError(
    "TONE_OUT_OF_RANGE",
    `Expected bins that hold all toned pixels for a tally but received ${seen} of them`,
  );
}

function luminanceOfPixel(tally: ToneTally, bin: number): number {
  // White sits at the lower edge of the last bin; its middle would be lighter than white.
  return bin === 0 ? 0 : Math.min(luminanceIn(tally, bin, 0.5), fullScale(tally));
}
