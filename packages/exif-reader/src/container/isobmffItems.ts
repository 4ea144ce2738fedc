import { latin1, startsWith, viewOf } from "../source/bytes.ts";
import { type Box, boxesIn } from "./isobmffBoxes.ts";

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
const FULL_BOX_BYTES = 4;

/**
 * Reads the payload of a `meta` box.
 *
 * @throws RangeError where a box claims more than it holds
 */
export function readItemTable(meta: Uint8Array): ItemTable {
  const boxes = boxesIn(meta, FULL_BOX_BYTES, meta.length);
  const cursorOf = (type: string): Cursor | null => {
    const box = boxes.find((candidate) => candidate.type === type);
    return box === undefined ? null : new Cursor(meta, box);
  };
  const primary = primaryItem(cursorOf("pitm"));
  const items = metadataItems(meta, cursorOf("iinf"));
  return {
    primary,
    items,
    describes: descriptions(meta, cursorOf("iref")),
    extents: itemExtents(cursorOf("iloc"), new Set(items.map((item) => item.id))),
    dataAt: cursorOf("idat")?.at ?? meta.length,
    rotates: isRotated(meta, cursorOf("iprp"), primary),
  };
}

/** Reads big-endian numbers one after the other; throws RangeError at the end of its box. */
class Cursor {
  at: number;
  readonly end: number;
  readonly #view: DataView;

  constructor(bytes: Uint8Array, box: Pick<Box, "start" | "end">) {
    this.#view = viewOf(bytes.subarray(0, box.end));
    this.at = box.start;
    this.end = box.end;
  }

  /** An unsigned number of 0, 1, 2, 4 or 8 bytes. */
  unsigned(bytes: number): number {
    const at = this.at;
    this.at += bytes;
    if (bytes === 0) return 0;
    if (bytes === 1) return this.#view.getUint8(at);
    if (bytes === 2) return this.#view.getUint16(at);
    if (bytes === 4) return this.#view.getUint32(at);
    return Number(this.#view.getBigUint64(at));
  }

  /** Version and flags of a full box. */
  version(): { version: number; flags: number } {
    const word = this.unsigned(4);
    return { version: Math.floor(word / 2 ** 24), flags: word % 2 ** 24 };
  }
}

function primaryItem(pitm: Cursor | null): number {
  if (pitm === null) return 0;
  return pitm.unsigned(pitm.version().version === 0 ? 2 : 4);
}

function metadataItems(meta: Uint8Array, iinf: Cursor | null): ItemTable["items"] {
  if (iinf === null) return [];
  iinf.unsigned(iinf.version().version === 0 ? 2 : 4);
  const items: { id: number; kind: "exif" | "xmp" }[] = [];
  for (const box of boxesIn(meta, iinf.at, iinf.end)) {
    if (box.type !== "infe") continue;
    const entry = new Cursor(meta, box);
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

function descriptions(meta: Uint8Array, iref: Cursor | null): Map<number, number[]> {
  const describes = new Map<number, number[]>();
  if (iref === null) return describes;
  const idBytes = iref.version().version === 0 ? 2 : 4;
  for (const box of boxesIn(meta, iref.at, iref.end)) {
    if (box.type !== "cdsc") continue;
    const entry = new Cursor(meta, box);
    const from = entry.unsigned(idBytes);
    const count = entry.unsigned(2);
    describes.set(
      from,
      Array.from({ length: count }, () => entry.unsigned(idBytes)),
    );
  }
  return describes;
}

function itemExtents(iloc: Cursor | null, wanted: ReadonlySet<number>): Map<number, ItemExtent[]> {
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

function isRotated(meta: Uint8Array, iprp: Cursor | null, primary: number): boolean {
  if (iprp === null) return false;
  const boxes = boxesIn(meta, iprp.at, iprp.end);
  const container = boxes.find((box) => box.type === "ipco");
  const properties = container === undefined ? [] : boxesIn(meta, container.start, container.end);
  return boxes
    .filter((box) => box.type === "ipma")
    .flatMap((box) => propertiesOf(new Cursor(meta, box), primary))
    .some((index) => {
      const property = properties[index - 1];
      if (property?.type === "imir") return true;
      return property?.type === "irot" && ((meta[property.start] ?? 0) & 3) !== 0;
    });
}

/** One-based indices of the properties that belong to an item. */
function propertiesOf(ipma: Cursor, item: number): number[] {
  const { version, flags } = ipma.version();
  const isWide = flags % 2 === 1;
  const found: number[] = [];
  const count = ipma.unsigned(4);
  for (let index = 0; index < count; index++) {
    const id = ipma.unsigned(version === 0 ? 2 : 4);
    const associations = ipma.unsigned(1);
    for (let association = 0; association < associations; association++) {
      const property = isWide ? ipma.unsigned(2) & 0x7fff : ipma.unsigned(1) & 0x7f;
      if (id === item) found.push(property);
    }
  }
  return found;
}
