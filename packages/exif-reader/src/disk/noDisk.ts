// Stands in for disk.ts where there is no disk: package.json chooses by the condition "node".
import { ExifError } from "../errors.ts";
import type { ByteSource } from "../source/byteSource.ts";
import { NO_XMP, type XmpFacts } from "../xmp/readXmp.ts";

/**
 * Refuses: nothing is fetched from a disk or a network here.
 *
 * @throws {@link ExifError} `EXIF_CANNOT_READ`
 */
export async function withFile<T>(
  _source: string | URL,
  _use: (bytes: ByteSource, path: string) => Promise<T>,
): Promise<T> {
  throw new ExifError(
    "EXIF_CANNOT_READ",
    "Expected a Blob or bytes (Uint8Array) for source but received a path, which is not read in a browser",
  );
}

/** No facts: bytes have no sidecar. */
export async function readSidecar(_picture: string): Promise<XmpFacts> {
  return NO_XMP;
}

/** None: there are no paths. */
export function sidecarPath(_picture: string): string | null {
  return null;
}
