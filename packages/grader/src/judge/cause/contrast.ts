import { isLight, type RenderedRow } from "./renderedCurve.ts";

/** How many stops of a picture one stop of light may show as. */
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

/** The contrast that a row's picture may have. */
export function contrastOf(row: RenderedRow): ContrastRange {
  return isLight(row) ? LIGHT : RENDERED;
}

/**
 * How far a measured difference lies beyond what a difference in light explains.
 *
 * @param measured - stops of a picture
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
