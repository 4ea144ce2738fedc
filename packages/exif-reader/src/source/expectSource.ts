import { ExifError } from "../errors.ts";

/**
 * Refuses anything but bytes; a caller in plain JavaScript may pass anything.
 *
 * @throws {@link ExifError} `EXIF_CANNOT_READ`
 */
export function expectBytes(bytes: unknown): void {
  if (!isBytes(bytes)) throw wrongSource("bytes (Uint8Array)", bytes);
}

/**
 * Refuses anything but a path.
 *
 * @throws {@link ExifError} `EXIF_CANNOT_READ`
 */
export function expectPath(path: unknown): void {
  if (typeof path !== "string") throw wrongSource("a path", path);
}

/** The getter that every typed array inherits: it reads the kind off the array itself, whatever realm that is from. */
const kindOf: (() => unknown) | undefined = Object.getOwnPropertyDescriptor(
  Object.getPrototypeOf(Uint8Array.prototype),
  Symbol.toStringTag,
)?.get;

/** Whether a value is bytes, from this realm or another; a `Buffer` is too. */
export function isBytes(value: unknown): value is Uint8Array {
  return kindOf?.call(value) === "Uint8Array";
}

/** The error for a source of the wrong kind. It names the kind alone, since the value itself may be anything. */
export function wrongSource(expected: string, received: unknown): ExifError {
  const kind = Object.prototype.toString.call(received).slice("[object ".length, -1);
  return new ExifError("EXIF_CANNOT_READ", `Expected ${expected} for source but received ${kind}`);
}
