import type { ExifNote } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { decodeText } from "../text/decodeText.ts";
import { parseXmp, type XmpProperties } from "./parseXmp.ts";
import { xmpSource } from "./xmpSource.ts";

/** Facts from XMP, and notes about the packets, which are complete once all facts have been read. */
export interface XmpFacts {
  /** Null where there is no packet. */
  readonly source: TagSource | null;
  readonly notes: readonly ExifNote[];
}

/** What there is to know where there is no packet. */
export const NO_XMP: XmpFacts = { source: null, notes: [] };

/**
 * XMP packets as one source; earlier packets take precedence.
 *
 * They are parsed only when one of them names a property that is wanted: most pictures record everything in Exif, and
 * parsing XMP costs many times as much as all else.
 */
export function readXmp(packets: readonly Uint8Array[], label: string): XmpFacts {
  if (packets.length === 0) return NO_XMP;
  const texts = packets.map(decodeText);
  const notes: ExifNote[] = [];
  let properties: XmpProperties | undefined;

  const parseAll = (): XmpProperties => {
    const parts = texts.map((text): XmpProperties => {
      try {
        return parseXmp(text);
      } catch {
        const message = `A packet of ${label} is not well-formed XML, so it is ignored.`;
        notes.push({ code: "xmp-malformed", message });
        return new Map();
      }
    });
    return merged(parts);
  };
  const propertiesNaming = (name: string | RegExp): XmpProperties | undefined => {
    if (!texts.some((text) => text.search(name) >= 0)) return undefined;
    properties ??= parseAll();
    return properties;
  };
  return { source: xmpSource(propertiesNaming, label), notes };
}

/** Each property, taken whole from the first packet that has it. */
function merged(parts: readonly XmpProperties[]): XmpProperties {
  const all = new Map<string, readonly string[]>();
  const stated = new Set<string>();
  for (const part of parts) {
    const added = [...part].filter(([path]) => !stated.has(propertyOf(path)));
    for (const [path, texts] of added) {
      all.set(path, texts);
      stated.add(propertyOf(path));
    }
  }
  return all;
}

function propertyOf(path: string): string {
  return path.split(/[/[]/, 1)[0] ?? path;
}
