import { ToneError } from "../errors.ts";
import { expectList } from "../expectGiven.ts";
import { expectTally } from "./expectTally.ts";
import type { ToneTally } from "./toneTally.ts";

/**
 * The tally of a whole from the tallies of its parts.
 *
 * @param tallies - of parts of one raster, at least one
 * @throws {@link ToneError} `TONE_EMPTY_INPUT` without a tally, `TONE_OUT_OF_RANGE` when they count in different units or
 *   channels, or are none that `tallyTone` makes
 *
 * @example
 * ```ts
 * mergeTallies([upperHalf, lowerHalf]).pixels; // pixels of both
 * ```
 */
export function mergeTallies(tallies: readonly ToneTally[]): ToneTally {
  expectList("the tallies", tallies);
  const [first] = tallies;
  if (!first) throw new ToneError("TONE_EMPTY_INPUT", "Expected at least one tally to merge");
  if (tallies.some(({ unit }) => unit !== first.unit)) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected tallies of one raster but received units ${tallies.map(({ unit }) => unit).join(", ")}`,
    );
  }
  for (const tally of tallies) expectTally(tally);
  const channels = first.clippedByChannel.length;
  if (tallies.some(({ clippedByChannel }) => clippedByChannel.length !== channels)) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected tallies of one raster but received ${tallies.map(({ clippedByChannel }) => clippedByChannel.length).join(", ")} channels`,
    );
  }
  const total = (pick: (tally: ToneTally) => number): number =>
    tallies.reduce((sum, tally) => sum + pick(tally), 0);
  return {
    pixels: total(({ pixels }) => pixels),
    transparent: total(({ transparent }) => transparent),
    tonedPixels: total(({ tonedPixels }) => tonedPixels),
    luminanceSum: total(({ luminanceSum }) => luminanceSum),
    bins: first.bins.map((_, bin) => total(({ bins }) => bins[bin] as number)),
    unit: first.unit,
    clippedPixels: total(({ clippedPixels }) => clippedPixels),
    clippedByChannel: first.clippedByChannel.map((_, channel) =>
      total(({ clippedByChannel }) => clippedByChannel[channel] as number),
    ),
    crushedPixels: total(({ crushedPixels }) => crushedPixels),
  };
}
