import { RENDERED_CONTRAST } from "@tonefall/tone-core";
import { showsLight } from "../grade/showsLight.ts";
import type { FrameResult } from "../result.ts";

/** How many stops of a row's basis one stop of light may show as, around the mid-tones. */
export interface ContrastRange {
  readonly least: number;
  readonly most: number;
}

const LIGHT: ContrastRange = { least: 1, most: 1 };

/**
 * A plain rendering shows a stop as one. The most seen in brackets of five cameras was 1.48 around the mid-tones
 * [RENDERED-CONTRAST]; five are few, and shadows may be steeper.
 */
const RENDERED: ContrastRange = { least: 1, most: 2.1 };

/** The contrast that a row's stops may have. */
export function contrastOf(row: Pick<FrameResult, "basis" | "picture" | "kit">): ContrastRange {
  if (row.basis === "rendered") return RENDERED;
  if (row.basis === "scene" && !showsLight(row)) {
    // Falls of this kind were divided by the median contrast already.
    return {
      least: RENDERED.least / RENDERED_CONTRAST,
      most: RENDERED.most / RENDERED_CONTRAST,
    };
  }
  return LIGHT;
}

/**
 * By how much a measured difference lies beyond what a difference in light explains.
 *
 * @param measured - stops on a row's basis
 * @param light - stops of light
 * @returns 0 where some contrast in the range explains it
 */
export function unexplained(
  measured: number,
  light: number,
  { least, most }: ContrastRange,
): number {
  const low = Math.min(light * least, light * most);
  const high = Math.max(light * least, light * most);
  if (measured < low) return measured - low;
  return measured > high ? measured - high : 0;
}
