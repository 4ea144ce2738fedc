import { ToneError } from "../errors.ts";
import type { Spans } from "../region/rasteriseRegion.ts";

/**
 * Refuses a region that is not of this raster.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when a run leaves the raster
 */
export function requireInside(
  spans: Spans,
  { width, height }: { readonly width: number; readonly height: number },
): void {
  for (let i = 0; i < spans.length; i += 3) {
    const [row, first, end] = spans.subarray(i, i + 3) as unknown as [number, number, number];
    if (!(row >= 0 && row < height && first >= 0 && first <= end && end <= width)) {
      throw new ToneError(
        "TONE_OUT_OF_RANGE",
        `Expected runs inside ${width} x ${height} pixels but received row ${row}, columns ${first} to ${end}`,
      );
    }
  }
}
