import { types } from "node:util";
import { ExifError } from "../errors.ts";

/**
 * Refuses anything but bytes; a caller in plain JavaScript may pass anything.
 *
 * @throws {@link ExifError} `EXIF_CANNOT_READ`
 */
export function expectBytes(bytes: unknown): void {
  if (!types.isUint8Array(bytes)) throw wrongSource("bytes (Uint8Array)", bytes);
}

/**
 * Refuses anything but a path.
 *
 * @throws {@link ExifError} `EXIF_CANNOT_READ`
 */
export function expectPath(path: unknown): void {
  if (typeof path !== "string") throw wrongSource("a path", path);
}

/** The error for a source of the wrong kind. It names the kind alone, since the value itself may be anything. */
export function wrongSource(expected: string, received: unknown): ExifError {
  const kind = Object.prototype.toString.call(received).slice("[object ".length, -1);
  return new ExifError("EXIF_CANNOT_READ", `Expected ${expected} for source but received ${kind}`);
}
