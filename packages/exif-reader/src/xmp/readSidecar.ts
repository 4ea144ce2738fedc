import { constants } from "node:fs";
import { type FileHandle, open } from "node:fs/promises";
import { join, parse } from "node:path";
import { MOST_XMP_BYTES } from "../container/metadataBlocks.ts";
import { readXmp, type XmpFacts } from "./readXmp.ts";

/** Upper case is what cameras with a DOS heritage write. */
const EXTENSIONS = [".xmp", ".XMP"];

/**
 * Reads the sidecar of a picture: `name.ext.xmp`, which names the very file, before `name.xmp`,
 * which a raw file and its JPEG share.
 *
 * @returns no facts where there is none; a note where there is one that cannot be read
 */
export async function readSidecar(picture: string): Promise<XmpFacts> {
  const { dir, name } = parse(picture);
  const candidates = [picture, join(dir, name)].flatMap((base) =>
    EXTENSIONS.map((extension) => base + extension),
  );
  try {
    const found = await Promise.all(candidates.map(contents));
    const bytes = found.find((content) => content !== null);
    return readXmp(bytes ? [bytes] : [], "sidecar XMP");
  } catch {
    const message = "The sidecar file beside the picture cannot be read.";
    return { ...readXmp([], ""), notes: [{ code: "sidecar-unreadable", message }] };
  }
}

/** A pipe of that name must not keep us waiting. (Windows has neither such pipes nor the flag.) */
const READ_AT_ONCE = constants.O_RDONLY | (constants.O_NONBLOCK ?? 0);

/** The file's bytes, at most 2 MiB; null where there is no such file. */
async function contents(path: string): Promise<Uint8Array | null> {
  let file: FileHandle;
  try {
    file = await open(path, READ_AT_ONCE);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
  try {
    const stats = await file.stat();
    if (!stats.isFile()) throw new Error(`Expected a file for ${path} but received something else`);
    const bytes = new Uint8Array(Math.min(stats.size, MOST_XMP_BYTES));
    const { bytesRead } = await file.read(bytes, 0, bytes.length, 0);
    return bytes.subarray(0, bytesRead);
  } finally {
    await file.close();
  }
}
