import { sniffFormat } from "@tonefall/exif-reader";
import { GraderError, type GraderErrorCode } from "../../model/errors.ts";
import { encodingOf } from "./encodingOf.ts";

/** A kind of file, and the code of its errors. */
export interface YamlKind {
  /** With its article: `a brief file`. */
  readonly what: string;
  readonly code: GraderErrorCode;
  /** The command that writes a first one; left out where there is none, and where an empty file says enough. */
  readonly begin?: string;
}

/**
 * The text in the bytes of a file that people write: UTF-8, or UTF-16 with its mark, as some Windows editors save it.
 *
 * @param path - of the file, for messages
 * @throws {@link GraderError} with the kind's code, for a picture, a binary file and text in another encoding
 */
export function textOf(bytes: Uint8Array, path: string, { what, code }: YamlKind): string {
  const format = sniffFormat(bytes);
  if (format !== null && format !== "xmp") {
    throw new GraderError(
      code,
      `Expected ${what} but ${path} is a picture (${format.toUpperCase()})`,
    );
  }
  try {
    return new TextDecoder(encodingOf(bytes), { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch (cause) {
    throw new GraderError(
      code,
      `Expected ${what} but ${path} is not UTF-8 text; save it again as UTF-8`,
      { cause },
    );
  }
}
