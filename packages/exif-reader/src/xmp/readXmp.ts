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
    return new Map(parts.reverse().flatMap((part) => [...part]));
  };
  const textsAt = (path: string): readonly string[] | undefined => {
    const name = path.slice(path.lastIndexOf(":"));
    if (!texts.some((text) => text.includes(name))) return undefined;
    properties ??= parseAll();
    return properties.get(path);
  };
  return { source: xmpSource(textsAt, label), notes };
}
