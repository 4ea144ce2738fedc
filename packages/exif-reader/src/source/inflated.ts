import { Unzlib } from "fflate";
import { joinedBytes } from "./bytes.ts";

/** Compressed bytes that are unpacked at once: a bomb is noticed before it has grown past some megabytes. */
const PIECE_BYTES = 4096;

/**
 * A zlib stream unpacked.
 *
 * @param mostBytes - of the result
 * @returns null where the stream is damaged or cut short, or holds more
 */
export function inflated(bytes: Uint8Array, mostBytes: number): Uint8Array | null {
  const parts: Uint8Array[] = [];
  let length = 0;
  const stream = new Unzlib((part) => {
    parts.push(part);
    length += part.length;
  });
  try {
    for (let at = 0; at === 0 || at < bytes.length; at += PIECE_BYTES) {
      stream.push(bytes.subarray(at, at + PIECE_BYTES), at + PIECE_BYTES >= bytes.length);
      if (length > mostBytes) return null;
    }
  } catch {
    return null;
  }
  return joinedBytes(parts);
}
