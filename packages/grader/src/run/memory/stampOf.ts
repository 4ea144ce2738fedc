import { stat } from "node:fs/promises";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { sidecarPath } from "@tonefall/exif-reader";
import type { Source } from "../../picture/source/openSource.ts";

/**
 * What the file system says of a picture and its sidecar, without reading them: paths, sizes and times of last change.
 *
 * @returns null where it says nothing, or they are not ordinary files; an empty text for bytes, which do not change
 */
export async function stampOf(source: Source): Promise<string | null> {
  if (source instanceof Uint8Array) return "";
  try {
    const path = resolve(source instanceof URL ? fileURLToPath(source) : source);
    const sidecar = sidecarPath(path);
    const stamps = [path, ...(sidecar === null ? [] : [sidecar])].map(async (file) => {
      const entry = await stat(file, { bigint: true });
      // Reading a pipe or a device might wait for ever.
      return entry.isFile() ? [file, `${entry.size}`, `${entry.mtimeNs}`] : null;
    });
    const all = await Promise.all(stamps);
    return all.includes(null) ? null : JSON.stringify(all);
  } catch {
    return null;
  }
}
