import { latin1, startsWith } from "../source/bytes.ts";
import { BoxCursor } from "./boxCursor.ts";
import { boxesIn } from "./isobmffBoxes.ts";
import { FULL_BOX_BYTES, itemProperties, primaryItem, turnsPicture } from "./isobmffProperties.ts";

/** Where a part of an item is: in the file, or in the `idat` box of the `meta` box. */
export interface ItemExtent {
  readonly within: "file" | "idat";
  readonly offset: number;
  /** 0 in the only part of an item means "to the end". */
  readonly length: number;
}

/** What a `meta` box says about the items that hold metadata. */
export interface ItemTable {
  readonly primary: number;
  readonly items: readonly { readonly id: number; readonly kind: "exif" | "xmp" }[];
  /** Item id to the ids of the items it describes. */
  readonly describes: ReadonlyMap<number, readonly number[]>;
  readonly extents: ReadonlyMap<number, readonly ItemExtent[]>;
  /** Where the payload of `idat` starts in the `meta` payload. */
  readonly dataAt: number;
  /** Whether the primary picture is rotated or mirrored by the container. */
  readonly rotates: boolean;
}

const XMP_MEDIA_TYPE = "application/rdf+xml";

/**
 * Reads the payload of a `meta` box.
 *
 * @throws RangeError where a box claims more than it holds
 */
export function readItemTable(meta: Uint8Array): ItemTable {
  const boxes = boxesIn(meta, FULL_BOX_BYTES, meta.length);
  const cursorOf = (type: string): BoxCursor | null => {
    const box = boxes.find((candidate) => candidate.type === type);
    return box === undefined ? null : new BoxCursor(meta, box);
  };
  const primary = primaryItem(meta, boxes) ?? 0;
  const items = metadataItems(meta, cursorOf("iinf"));
  return {
    primary,
    items,
    describes: descriptions(meta, cursorOf("iref")),
    extents: itemExtents(cursorOf("iloc"), new Set(items.map((item) => item.id))),
    dataAt: cursorOf("idat")?.at ?? meta.length,
    rotates: (itemProperties(meta, boxes, primary) ?? []).some(turnsPicture),
  };
}

function metadataItems(meta: Uint8Array, iinf: BoxCursor | null): ItemTable["items"] {
  if (iinf === null) return [];
  iinf.unsigned(iinf.version().version === 0 ? 2 : 4);
  const items: { id: number; kind: "exif" | "xmp" }[] = [];
  for (const box of boxesIn(meta, iinf.at, iinf.end)) {
    if (box.type !== "infe") continue;
    const entry = new BoxCursor(meta, box);
    const { version } = entry.version();
    if (version < 2) continue; // those entries have no item type
    const id = entry.unsigned(version === 2 ? 2 : 4);
    const typeAt = entry.at + 2; // after the protection index
    const type = latin1(meta, typeAt, Math.min(typeAt + 4, box.end));
    if (type === "Exif") items.push({ id, kind: "exif" });
    if (type !== "mime") continue;
    const nameEnd = meta.indexOf(0, typeAt + 4);
    if (nameEnd >= 0 && nameEnd < box.end && startsWith(meta, XMP_MEDIA_TYPE, nameEnd + 1)) {
      items.push({ id, kind: "xmp" });
    }
  }
  return items;
}

function descriptions(meta: Uint8Array, iref: BoxCursor | null): Map<number, number[]> {
  const describes = new Map<number, number[]>();
  if (iref === null) return describes;
  const idBytes = iref.version().version === 0 ? 2 : 4;
  for (const box of boxesIn(meta, iref.at, iref.end)) {
    if (box.type !== "cdsc") continue;
    const entry = new BoxCursor(meta, box);
    const from = entry.unsigned(idBytes);
    const count = entry.unsigned(2);
    describes.set(
      from,
      Array.from({ length: count }, () => entry.unsigned(idBytes)),
    );
  }
  return describes;
}

function itemExtents(
  iloc: BoxCursor | null,
  wanted: ReadonlySet<number>,
): Map<number, ItemExtent[]> {
  const extents = new Map<number, ItemExtent[]>();
  if (iloc === null) return extents;
  const { version } = iloc.version();
  const sizes = iloc.unsigned(2);
  const [offsetBytes, lengthBytes, baseBytes, lastNibble] = [12, 8, 4, 0].map(
    (shift) => (sizes >> shift) & 15,
  ) as [number, number, number, number];
  const indexBytes = version === 0 ? 0 : lastNibble;
  const count = iloc.unsigned(version < 2 ? 2 : 4);
  for (let index = 0; index < count; index++) {
    const id = iloc.unsigned(version < 2 ? 2 : 4);
    const method = version === 0 ? 0 : iloc.unsigned(2) & 15;
    const reference = iloc.unsigned(2);
    const base = iloc.unsigned(baseBytes);
    const parts: ItemExtent[] = [];
    const partCount = iloc.unsigned(2);
    if (indexBytes + offsetBytes + lengthBytes === 0 && partCount > 1) {
      throw new RangeError("Expected extents that take up bytes but received empty ones");
    }
    for (let part = 0; part < partCount; part++) {
      iloc.unsigned(indexBytes);
      const offset = base + iloc.unsigned(offsetBytes);
      parts.push({
        within: method === 1 ? "idat" : "file",
        offset,
        length: iloc.unsigned(lengthBytes),
      });
    }
    const isReadable = reference === 0 && method < 2; // not in another file or another item
    if (isReadable && wanted.has(id)) extents.set(id, parts);
  }
  return extents;
}
