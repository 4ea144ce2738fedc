import { closeSync, openSync, read, statSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { ExifError, type ExifErrorCode } from "../errors.ts";
import type { ByteSource } from "../source/byteSource.ts";
import { emptyFile } from "../source/emptyFile.ts";
import { windowedSource } from "../source/windowedSource.ts";

export { readSidecar } from "./readSidecar.ts";
export { sidecarPath } from "./sidecarPath.ts";

/**
 * What `use` makes of a file, which is opened before and closed after.
 *
 * @throws {@link ExifError} where there is no file to read from
 */
export async function withFile<T>(
  source: string | URL,
  use: (bytes: ByteSource, path: string) => Promise<T>,
): Promise<T> {
  const path = pathOf(source);
  let file: number | undefined;
  const reads: Promise<Uint8Array>[] = [];
  try {
    // Checked before it is opened, since opening a pipe or a device can block for ever. The synchronous calls take
    // microseconds; the asynchronous ones take ten times as long. Reading waits for the disk, and does so in another thread.
    const { size } = checkedKind(path, statSync(path));
    file = openSync(path, "r");
    const opened = file;
    const bytes = windowedSource(size, (start, end) => {
      const fetched = readFully(opened, start, end - start);
      reads.push(fetched);
      return fetched;
    });
    return await use(bytes, path);
  } catch (error) {
    throw asExifError(error, path);
  } finally {
    // The number of a closed file may be another's soon.
    await Promise.allSettled(reads);
    if (file !== undefined) closeSync(file);
  }
}

const readAt = promisify(read);

async function readFully(file: number, start: number, length: number): Promise<Uint8Array> {
  const bytes = new Uint8Array(length);
  let filled = 0;
  while (filled < length) {
    const { bytesRead } = await readAt(file, bytes, filled, length - filled, start + filled);
    if (bytesRead === 0) break; // the file shrank while it was read
    filled += bytesRead;
  }
  return bytes.subarray(0, filled);
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
