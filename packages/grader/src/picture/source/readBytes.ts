import { open } from "node:fs/promises";
import { GraderError } from "../../model/errors.ts";
import type { FrameMemory } from "../frameMemory.ts";

/** Largest file that is read into memory: 1 GiB, twice the largest raw of today's cameras. */
const MOST_BYTES = 2 ** 30;

/** A file in memory. */
export interface FileBytes {
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** Whether the bytes have a buffer of their own, which may be handed to another thread, or given back. */
  readonly own: boolean;
}

/**
 * The whole of a picture file.
 *
 * @param source - a path, a file URL, or bytes (which are used as they are)
 * @param memory - where the buffer is from; new where there is none
 * @throws {@link GraderError} `cannot-read`, `too-large`
 */
export async function readBytes(
  source: string | URL | Uint8Array,
  memory: FrameMemory | null = null,
): Promise<FileBytes> {
  if (source instanceof Uint8Array) {
    requireAtMost(source.length);
    return { bytes: source as Uint8Array<ArrayBuffer>, own: false };
  }
  try {
    const file = await open(source);
    try {
      const { size } = await file.stat();
      requireAtMost(size);
      // One read into one buffer: reading a file by the promise takes three times as long.
      const bytes = new Uint8Array(memory?.take(size) ?? new ArrayBuffer(size), 0, size);
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
    throw cannotRead(cause as NodeJS.ErrnoException);
  }
}

/**
 * The whole of a Blob.
 *
 * @throws {@link GraderError} `cannot-read`, `too-large`
 */
export async function readBlob(blob: Blob): Promise<Uint8Array> {
  requireAtMost(blob.size);
  try {
    return new Uint8Array(await blob.arrayBuffer());
  } catch (cause) {
    throw new GraderError(
      "cannot-read",
      "The Blob cannot be read; its file may have changed since it was opened, so open it again",
      { cause },
    );
  }
}

/** The failure that an error of the file system stands for. */
export function cannotRead(cause: { readonly code?: string | undefined }): GraderError {
  return new GraderError(
    "cannot-read",
    `The file cannot be read (${cause.code}); check that it is an ordinary file`,
    { cause },
  );
}

function requireAtMost(bytes: number): void {
  if (bytes > MOST_BYTES) throw fileTooLarge();
}

/** The failure of a file that is too large to be read into memory. */
export function fileTooLarge(): GraderError {
  return new GraderError(
    "too-large",
    "Expected a file of at most 1 GiB; grade a smaller export of it",
  );
}
