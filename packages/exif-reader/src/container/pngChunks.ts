import { latin1, startsWith, viewOf } from "../source/bytes.ts";
import { crc32 } from "../source/crc32.ts";
import { expectBytes } from "../source/expectSource.ts";

const SIGNATURE = "\x89PNG\r\n\x1a\n";

/** Bytes of a PNG before its first chunk. */
export const SIGNATURE_BYTES: number = SIGNATURE.length;

/** One chunk of a PNG. */
export interface PngChunk {
  /** Its four letters, e.g. `gAMA`. */
  readonly type: string;
  /** What lies between type and checksum. */
  readonly data: Uint8Array;
  /** Whether it matches its checksum. */
  readonly isIntact: boolean;
}

/**
 * The chunks of a PNG before its pixels, as far as the bytes hold them whole.
 *
 * @param head - the start of the file
 * @returns an empty list when the file is no PNG
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for anything but a Uint8Array
 * @see [PNG] third edition, 5.3 (chunk layout) and 5.5 (CRC algorithm)
 */
export function pngChunks(head: Uint8Array): readonly PngChunk[] {
  expectBytes(head);
  if (!startsWith(head, SIGNATURE)) return [];
  const chunks: PngChunk[] = [];
  for (let at = SIGNATURE_BYTES; at + 12 <= head.length; ) {
    const { type, length } = chunkHeader(head.subarray(at));
    const end = at + 8 + length;
    if (type === "IDAT" || end + 4 > head.length) break;
    const { stated, actual } = checksumsOf(head.subarray(at + 4, end + 4));
    chunks.push({ type, data: head.subarray(at + 8, end), isIntact: stated === actual });
    at = end + 4;
  }
  return chunks;
}

/** Type of the chunk that starts these bytes, and the length of its data. */
export function chunkHeader(bytes: Uint8Array): { type: string; length: number } {
  return { type: latin1(bytes, 4, 8), length: viewOf(bytes).getUint32(0) };
}

/** The checksum that a chunk states and the one that its bytes have; given from its type to the end of its checksum. */
export function checksumsOf(chunk: Uint8Array): { stated: number; actual: number } {
  const sumAt = chunk.length - 4;
  return { stated: viewOf(chunk).getUint32(sumAt), actual: crc32(chunk.subarray(0, sumAt)) };
}
