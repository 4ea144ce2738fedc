import { ExifError } from "../errors.ts";

/** The error for a source without a byte. */
export function emptyFile(name: string): ExifError {
  return new ExifError("EXIF_EMPTY_FILE", `Expected a picture for ${name} but received no bytes`);
}
