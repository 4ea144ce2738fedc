import { readFile } from "node:fs/promises";
import { GraderError } from "../errors.ts";

/** Largest file that is read into memory: 1 GiB, twice the largest raw of today's cameras. */
const MOST_BYTES = 2 ** 30;

/** A file in memory. */
export interface FileBytes {
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** Whether the bytes have a buffer of their own, which may be handed to another thread. */
  readonly own: boolean;
}

/**
 * The whole of a picture file.
 *
 * @param source - a path, a file URL, or bytes (which are used as they are)
 * @throws {@link GraderError} `cannot-read`, `too-large`
 */
export async function readBytes(source: string | URL | Uint8Array): Promise<FileBytes> {
  if (source instanceof Uint8Array) {
    return { bytes: within(source as Uint8Array<ArrayBuffer>), own: false };
  }
  try {
    const { buffer, byteOffset, byteLength } = await readFile(source);
    const bytes = new Uint8Array(buffer as ArrayBuffer, byteOffset, byteLength);
    // A small file may share its buffer with others, which must not be handed over with it.
    return { bytes: within(bytes), own: buffer.byteLength === byteLength };
  } catch (cause) {
    if (cause instanceof GraderError) throw cause;
    throw new GraderError(
      "cannot-read",
      `The file cannot be read (${(cause as NodeJS.ErrnoException).code}); check that it is an ordinary file`,
      { cause },
    );
  }
}

function within(bytes: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer> {
  if (bytes.length <= MOST_BYTES) return bytes;
  throw new GraderError(
    "too-large",
    "Expected a file of at most 1 GiB; grade a smaller export of it",
  );
}
