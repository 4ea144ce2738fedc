/** Bytes that can be read in pieces, so that a large file is never read whole. */
export interface ByteSource {
  /** Length in bytes. */
  readonly size: number;
  /** The bytes at `[offset, offset + length)`, fewer where the source ends sooner; never more. */
  read(offset: number, length: number): Promise<Uint8Array>;
}

/** Bytes in memory. */
export function memorySource(bytes: Uint8Array): ByteSource {
  return {
    size: bytes.length,
    read: async (offset, length) => {
      const start = Math.min(Math.max(offset, 0), bytes.length);
      return bytes.subarray(start, start + Math.max(length, 0));
    },
  };
}

/** A part of another source, cut where that source ends. */
export function sliceSource(source: ByteSource, offset: number, length: number): ByteSource {
  const start = Math.min(Math.max(offset, 0), source.size);
  const size = Math.min(Math.max(length, 0), source.size - start);
  return {
    size,
    read: (at, wanted) =>
      at < 0 ? source.read(0, 0) : source.read(start + at, Math.min(wanted, size - at)),
  };
}
