import type { ByteSource } from "./byteSource.ts";

/**
 * Bytes read at once from the start of a file. A camera JPEG keeps its metadata in the first 64 KiB;
 * a longer head costs more to copy than a second read costs the few files that need one.
 */
const HEAD_BYTES = 65536;

/** Bytes read at once further on: an IFD and its values are usually close together. */
const WINDOW_BYTES = 16384;

/**
 * Bytes that cost something to fetch: a read is served from the head or the last piece where one of them holds it.
 *
 * @param size - of the whole, in bytes
 * @param fetch - gives the bytes at `[start, end)`, fewer where the source has become shorter
 */
export function windowedSource(
  size: number,
  fetch: (start: number, end: number) => Promise<Uint8Array>,
): ByteSource {
  const pieceOf = (start: number, end: number): Piece => ({ start, end, bytes: fetch(start, end) });
  const head = pieceOf(0, Math.min(size, HEAD_BYTES));
  let window = head;

  return {
    size,
    async read(offset, length) {
      const start = Math.min(Math.max(offset, 0), size);
      const end = Math.min(start + Math.max(length, 0), size);
      for (const piece of [head, window]) {
        if (start >= piece.start && end <= piece.end) {
          return (await piece.bytes).subarray(start - piece.start, end - piece.start);
        }
      }
      window = pieceOf(start, Math.min(Math.max(end, start + WINDOW_BYTES), size));
      return (await window.bytes).subarray(0, end - start);
    },
  };
}

interface Piece {
  readonly start: number;
  readonly end: number;
  readonly bytes: Promise<Uint8Array>;
}
