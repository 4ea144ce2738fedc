import { statSync } from "node:fs";
import { open } from "node:fs/promises";
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
    for (const path of candidates) {
      // Asked in passing: some microseconds, where opening what is not there costs a hundred.
      const stats = statSync(path, { throwIfNoEntry: false });
      if (stats?.isFile()) return readXmp([await contents(path)], "sidecar XMP");
      if (stats !== undefined) return UNREADABLE;
    }
    return readXmp([], "");
  } catch {
    return UNREADABLE;
  }
}

const UNREADABLE: XmpFacts = {
  ...readXmp([], ""),
  notes: [
    {
      code: "sidecar-unreadable",
      message: "The sidecar file beside the picture cannot be read.",
    },
  ],
};

/** The file's bytes, at most 2 MiB. */
async function contents(path: string): Promise<Uint8Array> {
  const file = await open(path, "r");
  try {
    const bytes = new Uint8Array(MOST_XMP_BYTES);
    const { bytesRead } = await file.read(bytes, 0, bytes.length, 0);
    return bytes.subarray(0, bytesRead);
  } finally {
    await file.close();
  }
}
