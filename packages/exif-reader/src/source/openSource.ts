import { withFile } from "#disk";
import { ExifError } from "../errors.ts";
import { type ByteSource, memorySource } from "./byteSource.ts";
import { emptyFile } from "./emptyFile.ts";
import { isBytes, wrongSource } from "./expectSource.ts";
import { windowedSource } from "./windowedSource.ts";

/** Where an exposure record is read from: a path, a `file:` URL, a Blob or the bytes of a file. */
export type ExposureSource = string | URL | Blob | Uint8Array;

/** What a source is called, and where it lies. */
export interface SourcePlace {
  /** A path, or the name of a `File`; null for bytes. */
  readonly name: string | null;
  /** Null for what lies on no disk. */
  readonly path: string | null;
}

/**
 * What `use` makes of a source, which is opened before and closed after.
 *
 * @throws {@link ExifError} where there is no file to read from
 */
export async function withSource<T>(
  source: ExposureSource,
  use: (bytes: ByteSource, place: SourcePlace) => Promise<T>,
): Promise<T> {
  if (isBytes(source)) {
    if (source.length === 0) throw emptyFile("bytes");
    return use(memorySource(source), { name: null, path: null });
  }
  if (source instanceof Blob) return withBlob(source, use);
  if (typeof source === "string" || source instanceof URL) {
    return withFile(source, (bytes, path) => use(bytes, { name: path, path }));
  }
  throw wrongSource("a path, a file: URL, a Blob or bytes (Uint8Array)", source);
}

async function withBlob<T>(
  blob: Blob,
  use: (bytes: ByteSource, place: SourcePlace) => Promise<T>,
): Promise<T> {
  const name = "name" in blob && typeof blob.name === "string" ? blob.name : null;
  if (blob.size === 0) throw emptyFile(name ?? "the Blob");
  const fetch = async (start: number, end: number): Promise<Uint8Array> => {
    try {
      return new Uint8Array(await blob.slice(start, end).arrayBuffer());
    } catch (cause) {
      const why = cause instanceof Error ? cause.name : "unknown";
      throw new ExifError(
        "EXIF_CANNOT_READ",
        `Expected a readable Blob for ${name ?? "source"} but received the error ${why}; choose the file again`,
        { cause },
      );
    }
  };
  return use(windowedSource(blob.size, fetch), { name, path: null });
}
