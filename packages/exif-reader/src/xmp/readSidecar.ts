import { type FileHandle, open } from "node:fs/promises";
import { parse } from "node:path";
import { MOST_XMP_BYTES } from "../container/metadataBlocks.ts";
import type { ExifNote } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { readXmp } from "./readXmp.ts";

/** Upper case is what cameras with a DOS heritage write. */
const EXTENSIONS = [".xmp", ".XMP"];

/**
 * Reads the sidecar of a picture: `name.ext.xmp`, which names the very file, before `name.xmp`,
 * which a raw file and its JPEG share.
 *
 * @returns null where there is none; a note where there is one that cannot be read
 */
export async function readSidecar(
  picture: string,
): Promise<{ source?: TagSource; notes: ExifNote[] } | null> {
  const { dir, name } = parse(picture);
  const withoutExtension = picture.slice(
    0,
    dir.length + picture.slice(dir.length).lastIndexOf(name) + name.length,
  );
  const candidates = [picture, withoutExtension].flatMap((base) =>
    EXTENSIONS.map((extension) => base + extension),
  );
  for (const path of candidates) {
    try {
      const bytes = await contents(path);
      if (bytes !== null) return readXmp([bytes], "sidecar XMP");
    } catch {
      const message = "The sidecar file beside the picture cannot be read.";
      return { notes: [{ code: "sidecar-unreadable", message }] };
    }
  }
  return null;
}

/** The file's bytes, at most 2 MiB; null where there is no such file. */
async function contents(path: string): Promise<Uint8Array | null> {
  let file: FileHandle;
  try {
    file = await open(path, "r");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
  try {
    const { size } = await file.stat();
    const bytes = new Uint8Array(Math.min(size, MOST_XMP_BYTES));
    const { bytesRead } = await file.read(bytes, 0, bytes.length, 0);
    return bytes.subarray(0, bytesRead);
  } finally {
    await file.close();
  }
}
