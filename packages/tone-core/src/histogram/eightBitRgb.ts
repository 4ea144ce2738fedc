import type { ToneRaster } from "../raster/toneRaster.ts";
import type { RunningTally } from "./runningTally.ts";

/** A raster that the fast loops are made for: 8-bit red, green, blue without alpha, 0 black and 255 white. */
export interface EightBitRgb extends ToneRaster {
  readonly samples: Uint8Array;
}

/** A loop over pixels of one raster into one tally. */
export interface PixelCounter {
  /** What `from` and `to` have to be multiples of. */
  readonly multiple: number;
  /** Counts pixels [from, to). */
  count(from: number, to: number): void;
  /** Adds what the counter holds back to the tally. Call once, at the end. */
  finish(): void;
}

/**
 * A raster as one of 8-bit red, green, blue, which nearly every picture is.
 *
 * @param luminance - in units per code, one table a channel
 * @returns null when it is of another kind
 */
export function asEightBitRgb(
  raster: ToneRaster,
  { luminance }: Pick<RunningTally, "luminance">,
): EightBitRgb | null {
  const { samples, stride, channels } = raster;
  const suits =
    samples instanceof Uint8Array &&
    samples.byteOffset % 4 === 0 &&
    stride === 3 &&
    channels.length === 3 &&
    channels.every(({ clipCode, crushCode }) => clipCode === 255 && crushCode === 0) &&
    // Black, and nothing but black, has no light: then a pixel without light is a crushed one.
    luminance.every((table) =>
      table.every((light, code) => (code === 0 ? light === 0 : light > 0)),
    );
  return suits ? (raster as EightBitRgb) : null;
}
