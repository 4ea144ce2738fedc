import type { ExposureRecord, PictureFormat } from "@tonefall/exif-reader";
import { GraderError } from "../model/errors.ts";
import type { Frame } from "./frame.ts";
import { decodeHeic } from "./heic/decodeHeic.ts";
import { heicFrame } from "./heic/heicFrame.ts";
import { decodeRaw } from "./raw/decodeRaw.ts";
import { RAW_FORMATS } from "./raw/rawFormats.ts";
import type { DecodeRawOptions } from "./raw/rawFrame.ts";
import { decodeRendered } from "./rendered/decodeRendered.ts";
import { withScaleEnd } from "./scaleEnd.ts";
import type { PictureFile } from "./source/openSource.ts";

const RENDERED: ReadonlySet<PictureFormat> = new Set(["jpeg", "tiff", "png", "webp", "avif"]);

/** How a picture is decoded. */
export interface DecodeOptions extends DecodeRawOptions {
  /**
   * Take every third pixel across and down where that is quicker than the whole: of large JPEGs.
   * @default false
   */
  readonly quick?: boolean;
  /**
   * Gamma of the codes of a rendered picture that names no curve itself; 1 for linear light.
   * @default sRGB's curve
   */
  readonly gamma?: number;
}

/**
 * Decodes a picture file with the decoder for its format.
 *
 * @param file - an opened file
 * @param record - its exposure record: the format by content, and the orientation of the stored pixels
 * @param options - how it is decoded, and what that may cost
 * @throws {@link GraderError} as the decoder, or `unsupported-format`
 */
export async function decodePicture(
  file: PictureFile,
  record: ExposureRecord,
  options: DecodeOptions = {},
): Promise<Frame> {
  if (RENDERED.has(record.format)) {
    const stated = {
      orientation: record.orientation.value ?? 1,
      colourSpace: record.colourSpace.value,
      quick: options.quick ?? false,
      gamma: options.gamma ?? null,
    };
    return withScaleEnd(await decodeRendered(file, stated, options));
  }
  if (record.format === "heic") {
    return withScaleEnd(heicFrame(await decodeHeic(file.input, options)));
  }
  if (RAW_FORMATS.has(record.format)) return decodeRaw(file.input, options);
  throw new GraderError(
    "unsupported-format",
    `The file is ${record.format.toUpperCase()}, which Tonefall does not decode; export it as JPEG, TIFF, PNG, WebP or AVIF`,
  );
}
