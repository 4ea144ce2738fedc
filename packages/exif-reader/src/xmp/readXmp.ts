import type { ExifNote } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { decodeText } from "../text/decodeText.ts";
import { parseXmp, type XmpProperties } from "./parseXmp.ts";
import { xmpSource } from "./xmpSource.ts";

/** Facts from XMP, and what there is to say about the packets once they have been asked. */
export interface XmpFacts {
  readonly source: TagSource;
  readonly notes: readonly ExifNote[];
}

/**
 * XMP packets as one source; what an earlier packet states counts.
 *
 * They are parsed only when a property that is asked for is named in one of them: in most pictures
 * Exif has it all, and parsing costs many times what everything else does.
 */
export function readXmp(packets: readonly Uint8Array[], label: string): XmpFacts {
  const texts = packets.map(decodeText);
  const notes: ExifNote[] = [];
  let properties: XmpProperties | undefined;

  const parseAll = (): XmpProperties => {
    const parts = texts.map((text): XmpProperties => {
      try {
        return parseXmp(text);
      } catch {
        const message = `A packet of ${label} is not well-formed XML and is not used.`;
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

/** Each property whole from the first packet that has it. */
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
