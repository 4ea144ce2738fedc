import type { ExifNote } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { decodeText } from "../text/decodeText.ts";
import { parseXmp, type XmpProperties } from "./parseXmp.ts";
import { xmpSource } from "./xmpSource.ts";

/** A packet that names none of these holds no exposure fact: most hold an editor's history only. */
const NAMESPACES = /ns\.adobe\.com\/(?:exif|tiff|xap)\/1\.0\/|cipa\.jp\/exif\/1\.0\//;

/**
 * Reads XMP packets as one source; what an earlier packet states counts.
 *
 * @returns null where there is no packet
 */
export function readXmp(
  packets: readonly Uint8Array[],
  label: string,
): { source: TagSource; notes: ExifNote[] } | null {
  if (packets.length === 0) return null;
  const notes: ExifNote[] = [];
  const parts: XmpProperties[] = [];
  for (const packet of packets) {
    const text = decodeText(packet);
    if (!NAMESPACES.test(text)) continue;
    try {
      parts.push(parseXmp(text));
    } catch {
      const message = `A packet of ${label} is not well-formed XML and is not used.`;
      notes.push({ code: "xmp-malformed", message });
    }
  }
  const properties = new Map(parts.reverse().flatMap((part) => [...part]));
  return { source: xmpSource(properties, label), notes };
}
