import { statSync } from "node:fs";
import { open } from "node:fs/promises";
import { MOST_XMP_BYTES } from "../container/metadataBlocks.ts";
import { NO_XMP, readXmp, type XmpFacts } from "../xmp/readXmp.ts";
import { sidecarPath } from "./sidecarPath.ts";

/**
 * The facts in a picture's sidecar, where {@link sidecarPath} finds one.
 *
 * @returns no facts where there is no sidecar; a note where there is one that cannot be read
 */
export async function readSidecar(picture: string): Promise<XmpFacts> {
  try {
    const path = sidecarPath(picture);
    if (path === null) return NO_XMP;
    if (!statSync(path).isFile()) return UNREADABLE;
    return readXmp([await contents(path)], "sidecar XMP");
  } catch {
    return UNREADABLE;
  }
}

const UNREADABLE: XmpFacts = {
  ...NO_XMP,
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
