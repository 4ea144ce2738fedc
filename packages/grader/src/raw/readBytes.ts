import { open } from "node:fs/promises";
import { GraderError } from "../errors.ts";

/** Largest file that is read into memory: 1 GiB, twice the largest raw of today's cameras. */
const MOST_BYTES = 2 ** 30;

/** A file in memory. */
export interface FileBytes {
  readonly bytes: Uint8Array;
  /** Whether the bytes have a buffer of their own, which may be handed to another thread. */
  readonly own: boolean;
}

/** The buffer that another thread takes over with the bytes of a file; none where it copies them, or where both share it. */
export function handedOver({ bytes: { buffer }, own }: FileBytes): ArrayBuffer[] {
  return own && buffer instanceof ArrayBuffer ? [buffer] : [];
}

/**
 * The whole of a picture file.
 *
 * @param source - a path, a file URL, or bytes (which are used as they are)
 * @param room - memory for so many bytes, at least; new unless told
 * @throws {@link GraderError} `cannot-read`, `too-large`
 */
export async function readBytes(
  source: string | URL | Uint8Array,
  room: (bytes: number) => ArrayBufferLike = (bytes) => new ArrayBuffer(bytes),
): Promise<FileBytes> {
  if (source instanceof Uint8Array) {
    requireAtMost(source.length);
    return { bytes: source, own: false };
  }
  try {
    const file = await open(source);
    try {
      const { size } = await file.stat();
      requireAtMost(size);
      // One read into one buffer: reading a file by the promise takes three times as long.
      const bytes = new Uint8Array(room(size), 0, size);
      let read = 0;
      while (read < size) {
        const { bytesRead } = await file.read(bytes, read, size - read, read);
        if (bytesRead === 0) break;
        read += bytesRead;
      }
      return { bytes: bytes.subarray(0, read), own: true };
    } finally {
      await file.close();
    }
  } catch (cause) {
    if (cause instanceof GraderError) throw cause;
    throw new GraderError(
      "cannot-read",
      `The file cannot be read (${(cause as NodeJS.ErrnoException).code}); check that it is an ordinary file`,
      { cause },
    );
  }
}

function requireAtMost(bytes: number): void {
  if (bytes <= MOST_BYTES) return;
  throw new GraderError(
    "too-large",
    "Expected a file of at most 1 GiB; grade a smaller export of it",
  );
}
