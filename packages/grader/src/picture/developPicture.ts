import type { ExposureRecord } from "@tonefall/exif-reader";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import type { LinearPicture } from "./linearPicture.ts";
import type { DecodeRawOptions } from "./raw/decodeRaw.ts";
import { developRaw } from "./raw/developRaw.ts";
import { RAW_FORMATS } from "./raw/rawFormats.ts";
import type { PictureFile } from "./source/openSource.ts";

/** Whether a file holds a sensor's own values, which can be developed. */
export function isRaw({ format }: Pick<ExposureRecord, "format">): boolean {
  return RAW_FORMATS.has(format);
}

/**
 * Develops a raw file to a picture of light.
 *
 * @param record - its exposure record
 * @returns the picture, and what a reader should know of its decoding
 * @throws {@link GraderError} as the raw decoder, or `unsupported-format` for a rendered picture
 */
export async function developPicture(
  file: PictureFile,
  record: ExposureRecord,
  options: DecodeRawOptions = {},
): Promise<{ readonly picture: LinearPicture; readonly notes: readonly Note[] }> {
  if (!isRaw(record)) {
    throw new GraderError(
      "unsupported-format",
      `Expected a raw file to develop but the file is ${record.format.toUpperCase()}, which a camera or program has rendered`,
    );
  }
  const { picture, frame } = await developRaw(file.input, options);
  return { picture, notes: frame.notes };
}
