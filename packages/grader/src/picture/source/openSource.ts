import { statSync } from "node:fs";
import { open } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { GraderError } from "../../model/errors.ts";
import { requireContent } from "./requireContent.ts";
import { whyMissing } from "./whyMissing.ts";

/** What can be graded: a path, a file URL, or the bytes of a picture file. */
export type Source = string | URL | Uint8Array;

/**
 * The path of a source that is not bytes.
 *
 * @throws {@link GraderError} `bad-option` for what is no source: callers without types may hand over anything
 */
export function pathOf(source: string | URL): string {
  if (typeof source === "string") return source;
  if (source instanceof URL) {
    if (source.protocol === "file:") return fileURLToPath(source);
    throw new GraderError(
      "bad-option",
      `Expected a path, a file URL or bytes for a picture but received a URL that begins with ${source.protocol}; download the picture first, since Tonefall fetches nothing`,
    );
  }
  const given: unknown = source;
  const help =
    given instanceof Blob || given instanceof ArrayBuffer
      ? "; wrap it: new Uint8Array(buffer), where a Blob's buffer is await blob.arrayBuffer()"
      : "";
  throw new GraderError(
    "bad-option",
    `Expected a path, a file URL or bytes (Uint8Array) for a picture but received ${kindOf(given)}${help}`,
  );
}

function kindOf(given: unknown): string {
  if (given === null || given === undefined) return String(given);
  const kind = typeof given === "object" ? (given.constructor?.name ?? "object") : typeof given;
  return `${/^[aeiou]/i.test(kind) ? "an" : "a"} ${kind}`;
}

/** A picture file that exists and is not empty. */
export interface PictureFile {
  /** A path or the bytes, as decoders take them. */
  readonly input: string | Uint8Array;
  /** Length of the file. */
  readonly bytes: number;
  /** The first bytes of the file, at most `length`. */
  head(length: number): Promise<Uint8Array>;
}

/**
 * Checks that a source can be read at all.
 *
 * @throws {@link GraderError} `no-such-file`, `is-a-folder`, `empty-file` or `cannot-read`
 */
export async function openSource(source: Source): Promise<PictureFile> {
  if (source instanceof Uint8Array) {
    requireContent(source.length);
    return {
      input: source,
      bytes: source.length,
      head: async (length) => source.subarray(0, length),
    };
  }
  const path = pathOf(source);
  const bytes = sizeOf(path);
  requireContent(bytes);
  return { input: path, bytes, head: (length) => readHead(path, length) };
}

/** The synchronous call takes microseconds; asking another thread takes ten times as long. */
function sizeOf(path: string): number {
  try {
    const entry = statSync(path);
    if (entry.isDirectory()) {
      throw new GraderError("is-a-folder", "Expected a picture file but found a folder");
    }
    if (!entry.isFile()) {
      throw new GraderError(
        "cannot-read",
        "Expected a picture file but found a device, pipe or socket; give an ordinary file",
      );
    }
    return entry.size;
  } catch (error) {
    throw error instanceof GraderError ? error : fileError(error, path);
  }
}

async function readHead(path: string, length: number): Promise<Uint8Array> {
  try {
    const file = await open(path);
    try {
      const { bytesRead, buffer } = await file.read(Buffer.alloc(length), 0, length, 0);
      return buffer.subarray(0, bytesRead);
    } finally {
      await file.close();
    }
  } catch (error) {
    throw fileError(error, path);
  }
}

/** What stands for bytes of a name that are not UTF-8. */
const STAND_IN = "\uFFFD";

/** What the system's error about a file means for whoever named it. */
export function fileError(cause: unknown, path: string): GraderError {
  const code = (cause as NodeJS.ErrnoException).code;
  if (code === "ENOENT" && path.includes(STAND_IN)) {
    return new GraderError(
      "cannot-read",
      "The file's name is not UTF-8, so it cannot be opened; rename it",
      { cause },
    );
  }
  if (code === "ENAMETOOLONG") {
    return new GraderError(
      "cannot-read",
      "The file's name or path is longer than the system allows; shorten it",
      { cause },
    );
  }
  if (code === "ENOENT" || code === "ENOTDIR") {
    return new GraderError("no-such-file", whyMissing(path), { cause });
  }
  const why = code === "EACCES" || code === "EPERM" ? "no permission to read it" : `${code}`;
  return new GraderError("cannot-read", `The file cannot be read (${why})`, { cause });
}
