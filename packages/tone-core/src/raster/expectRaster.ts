import { ToneError } from "../errors.ts";
import { expectList, expectObject } from "../expectGiven.ts";
import { expectWhole } from "../expectNumber.ts";
import type { ToneRaster } from "./toneRaster.ts";

/** Pixels that a side may have, far beyond any picture. */
const MOST_SIDE = 2 ** 31 - 1;
/** Samples that a pixel may have: the largest cell of a sensor's filters has 36. */
const MOST_STRIDE = 256;

/**
 * Refuses a raster whose numbers are none, or whose samples do not fill it.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 */
export function expectRaster(
  raster: Pick<ToneRaster, "width" | "height" | "stride" | "samples">,
): void {
  const { width, height, stride, samples } = expectObject("the raster", raster);
  expectWhole("the raster's width", width, 0, MOST_SIDE);
  expectWhole("the raster's height", height, 0, MOST_SIDE);
  expectWhole("the raster's stride", stride, 1, MOST_STRIDE);
  if (expectList("the raster's samples", samples).length < width * height * stride) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected ${width} x ${height} x ${stride} samples for a raster but received ${samples.length}`,
    );
  }
}
