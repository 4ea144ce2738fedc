import type { Bound, RegionStatistics } from "@tonefall/tone-core";
import { log2 } from "@tonefall/tone-core";
import type { Fall } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";

/** More than this share of a region clipped makes its mean a lower bound. */
export const CLIPPED_BOUND_SHARE = 0.01;

/** While less than this share lies beyond an end of the scale, the median is not touched by it. */
export const MEDIAN_STANDS_SHARE = 0.5;

/**
 * Where a region's tone fell, in stops from the frame's middle grey.
 *
 * Black has no logarithm: whatever is darker than half of the first code above black is given as that, and a region of
 * which more than half is black is "at most" that dark.
 *
 * @param statistics - of the region
 * @param frame - the frame it was measured in
 */
export function fallOf(
  statistics: RegionStatistics,
  frame: Pick<Frame, "channels" | "middleGrey">,
): Fall {
  const stops = stopsScale(frame);
  return {
    stops: stops(statistics.mean),
    median: stops(statistics.median),
    p5: stops(statistics.p5),
    p95: stops(statistics.p95),
    bound: boundOf(statistics),
  };
}

/** A frame's luminances as stops from its middle grey, none darker than half of its first code above black. */
export function stopsScale(
  frame: Pick<Frame, "channels" | "middleGrey">,
): (luminance: number) => number {
  const floor = darkestLuminance(frame);
  return (luminance) => log2(Math.max(luminance, floor) / frame.middleGrey);
}

/** Whether shares beyond the ends of the scale leave a mean as no more than a bound. */
export function boundOf({
  clipped,
  crushed,
}: {
  readonly clipped: { readonly share: number };
  readonly crushed: { readonly share: number };
}): Bound | null {
  if (clipped.share > CLIPPED_BOUND_SHARE) return "at least";
  return crushed.share > MEDIAN_STANDS_SHARE ? "at most" : null;
}

/** Half the luminance of the first code above black in every channel. */
function darkestLuminance({ channels }: Pick<Frame, "channels">): number {
  let luminance = 0;
  for (const { luminance: table, crushCode } of channels) {
    luminance += table[Math.min(Math.floor(crushCode) + 1, table.length - 1)] as number;
  }
  return Math.max(luminance, Number.MIN_VALUE) / 2;
}
