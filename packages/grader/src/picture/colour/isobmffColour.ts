import { primaryProperties } from "@tonefall/exif-reader";
import type { CodePoints } from "./cicp.ts";

/** `nclx`, two numbers of two bytes each, and what follows them. */
const NCLX = "nclx";
const NCLX_BYTES = 11;

/**
 * The code points of an AVIF or HEIF picture's primary item.
 *
 * @param head - the file's first bytes, with its `meta` box
 * @returns null where there are none
 * @see [HEIF] ISO/IEC 14496-12 (`colr`); [CICP]
 */
export function isobmffColour(head: Uint8Array): CodePoints | null {
  for (const { type, payload } of primaryProperties(head)) {
    if (type !== "colr" || payload.length < NCLX_BYTES) continue;
    if (String.fromCharCode(...payload.subarray(0, NCLX.length)) !== NCLX) continue;
    const view = new DataView(payload.buffer, payload.byteOffset);
    return { primaries: view.getUint16(4), transfer: view.getUint16(6) };
  }
  return null;
}
