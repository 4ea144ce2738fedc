import type { FileHandle } from "node:fs/promises";
import type { ByteSource } from "./byteSource.ts";

/**
 * Bytes read at once from the start of a file. A camera JPEG keeps its metadata in the first 64 KiB;
 * a longer head costs more to copy than a second read costs the few files that need one.
 */
const HEAD_BYTES = 65536;

/** Bytes read at once further on: an IFD and its values are usually close together. */
const WINDOW_BYTES = 16384;

/** Bytes of an open file; a read is served from the head or the last piece where one of them holds it. */
export function fileSource(file: FileHandle, size: number): ByteSource {
  const head = pieceOf(file, 0, Math.min(size, HEAD_BYTES));
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
      window = pieceOf(file, start, Math.min(Math.max(end, start + WINDOW_BYTES), size));
      return (await window.bytes).subarray(0, end - start);
    },
  };
}

interface Piece {
  readonly start: number;
  readonly end: number;
  readonly bytes: Promise<Uint8Array>;
}

function pieceOf(file: FileHandle, start: number, end: number): Piece {
  return { start, end, bytes: readFully(file, start, end - start) };
}

async function readFully(file: FileHandle, start: number, length: number): Promise<Uint8Array> {
  const bytes = new Uint8Array(length);
  let filled = 0;
  while (filled < length) {
    const { bytesRead } = await file.read(bytes, filled, length - filled, start + filled);
    if (bytesRead === 0) break; // the file shrank while it was read
    filled += bytesRead;
  }
  return bytes.subarray(0, filled);
}
