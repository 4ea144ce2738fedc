import { encodeJpeg } from "../picture/rendered/encodeJpeg.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { writeWhole } from "../run/write/writeWhole.ts";
import type { MadeFrame } from "./exposeFrame.ts";
import { madeExif, madeXmp } from "./madeMetadata.ts";

/** How a made frame is encoded. */
export interface EncodeOptions {
  /**
   * Quality of the JPEG, 1 to 100. Below 96 its steps move the mean of an even tone by up to 0.03 stop.
   * @default 98
   */
  readonly quality?: number;
  /**
   * Where it is written, whole or not at all.
   * @default nowhere
   */
  readonly place?: WritePlace;
  /**
   * A sentence for people that the description begins with.
   * @default none
   */
  readonly caption?: string;
}

/** At this quality an even tone stays within 0.005 stop, from 5 stops under middle grey to white; measured. */
const QUALITY = 98;

/**
 * A made frame as a JPEG, with the truth attached: what made it from which capture, and the settings that the exposure
 * would have had. No position, serial number or name of a person goes in.
 *
 * @returns the bytes of the file
 * @throws {@link GraderError} `would-overwrite`; the file system's error
 *
 * @example
 * ```ts
 * const place = writePlace({ path: "hull.jpg", kind: "made-frame" });
 * await encodeFrame(await exposeFrame("hull.dng", { asMetered: "spot" }), { place });
 * ```
 */
export async function encodeFrame(
  made: MadeFrame,
  { quality = QUALITY, place, caption }: EncodeOptions = {},
): Promise<Uint8Array> {
  const { width, height, orientation, samples } = made;
  const bytes = await encodeJpeg({
    ...{ width, height, orientation, samples, quality },
    exif: madeExif(made, caption),
    xmp: madeXmp(made, caption),
  });
  if (place) await writeWhole(place, [bytes]);
  return bytes;
}
