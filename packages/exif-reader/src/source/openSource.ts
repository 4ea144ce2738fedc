import { statSync } from "node:fs";
import { type FileHandle, open } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { types } from "node:util";
import { ExifError, type ExifErrorCode } from "../errors.ts";
import { type ByteSource, memorySource } from "./byteSource.ts";
import { wrongSource } from "./expectSource.ts";
import { fileSource } from "./fileSource.ts";

/**
 * What `use` makes of a source, which is opened before and closed after.
 *
 * @throws {@link ExifError} where there is no file to read from
 */
export async function withSource<T>(
  source: string | URL | Uint8Array,
  use: (bytes: ByteSource, path: string | null) => Promise<T>,
): Promise<T> {
  if (isBytes(source)) {
    if (source.length === 0) throw emptyFile("bytes");
    return use(memorySource(source), null);
  }
  const path = pathOf(source);
  let file: FileHandle | undefined;
  try {
    // Checked before it is opened, since opening a pipe or a device can block for ever. The synchronous call takes
    // microseconds; the asynchronous one takes ten times as long.
    const { size } = checkedKind(path, statSync(path));
    file = await open(path, "r");
    return await use(fileSource(file, size), path);
  } catch (error) {
    throw asExifError(error, path);
  } finally {
    await file?.close();
  }
}

/**
 * Whether a source is bytes, from this realm or another.
 *
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for what is neither bytes nor a path nor a URL
 */
function isBytes(source: unknown): source is Uint8Array {
  if (types.isUint8Array(source)) return true;
  if (typeof source === "string" || source instanceof URL) return false;
  throw wrongSource("a path, a file: URL or bytes (Uint8Array)", source);
}

function pathOf(source: string | URL): string {
  if (typeof source === "string") return source;
  if (source.protocol !== "file:") {
    throw new ExifError(
      "EXIF_CANNOT_READ",
      `Expected a file: URL for source but received ${source.protocol} (nothing is fetched from a network)`,
    );
  }
  try {
    return fileURLToPath(source);
  } catch (cause) {
    // A file on another host, or a name with an encoded slash.
    throw new ExifError(
      "EXIF_CANNOT_READ",
      `Expected a file: URL of this machine for source but received ${source.href}`,
      { cause },
    );
  }
}

function checkedKind(
  path: string,
  stats: { size: number; isFile(): boolean; isDirectory(): boolean },
): { size: number } {
  if (stats.isDirectory()) {
    throw new ExifError("EXIF_IS_A_FOLDER", `Expected a file for ${path} but received a folder`);
  }
  if (!stats.isFile()) {
    throw new ExifError(
      "EXIF_CANNOT_READ",
      `Expected a regular file for ${path} but received a device or a pipe`,
    );
  }
  if (stats.size === 0) throw emptyFile(path);
  return stats;
}

function emptyFile(name: string): ExifError {
  return new ExifError("EXIF_EMPTY_FILE", `Expected a picture for ${name} but received no bytes`);
}

function asExifError(error: unknown, path: string): unknown {
  const cause = error as NodeJS.ErrnoException;
  if (!(error instanceof Error) || typeof cause.code !== "string" || error instanceof ExifError) {
    return error;
  }
  if (typeof cause.syscall !== "string" && cause.code !== "ERR_INVALID_ARG_VALUE") return error;
  const isMissing = cause.code === "ENOENT" || cause.code === "ENOTDIR";
  const code: ExifErrorCode = isMissing ? "EXIF_NO_SUCH_FILE" : "EXIF_CANNOT_READ";
  const received = isMissing ? "a path where there is none" : `the error ${cause.code}`;
  return new ExifError(code, `Expected a readable file for ${path} but received ${received}`, {
    cause,
  });
}
