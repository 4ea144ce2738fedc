import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { pipeline } from "node:stream/promises";
import { fileURLToPath } from "node:url";
import { sidecarPath } from "@tonefall/exif-reader";
import type { Source } from "../../picture/source/openSource.ts";

/**
 * SHA-256 of a picture's bytes, hexadecimal, followed by that of its sidecar where it has one: a file's row depends
 * on these, and never on its name.
 *
 * @returns null where it cannot be read
 */
export async function contentOf(source: Source): Promise<string | null> {
  if (source instanceof Uint8Array) return createHash("sha256").update(source).digest("hex");
  try {
    const path = source instanceof URL ? fileURLToPath(source) : source;
    const sidecar = sidecarPath(path);
    const digests = [path, ...(sidecar === null ? [] : [sidecar])].map(hashOf);
    return (await Promise.all(digests)).join(" ");
  } catch {
    return null;
  }
}

/**
 * SHA-256 of a file, hexadecimal.
 *
 * @throws the file system's error
 */
export async function hashOf(path: string): Promise<string> {
  const hash = createHash("sha256");
  await pipeline(createReadStream(path, { highWaterMark: 2 ** 20 }), hash);
  return hash.digest("hex");
}
