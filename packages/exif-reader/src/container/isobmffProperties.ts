import { expectBytes } from "../source/expectSource.ts";
import { BoxCursor } from "./boxCursor.ts";
import { type Box, boxesIn } from "./isobmffBoxes.ts";

/** What an AVIF or HEIF file states of a picture, e.g. its colour or its rotation. */
export interface PictureProperty {
  /** Its four letters, e.g. `colr` or `irot`. */
  readonly type: string;
  /** What follows its header. */
  readonly payload: Uint8Array;
}

/** Bytes of version and flags before the boxes of a `meta` box. */
export const FULL_BOX_BYTES = 4;

/**
 * The properties of an AVIF or HEIF file's primary picture, in the order of the file's list.
 *
 * @param head - the start of the file, with its `meta` box
 * @returns all that the file holds where it does not say which belong to that picture, none where it is no such file
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for anything but a Uint8Array
 * @see [BMFF, the meta box]; [HEIF, item properties]
 */
export function primaryProperties(head: Uint8Array): readonly PictureProperty[] {
  expectBytes(head);
  const box = boxesIn(head, 0, head.length).find(({ type }) => type === "meta");
  if (box === undefined) return [];
  const meta = head.subarray(box.start, box.end);
  const boxes = boxesIn(meta, FULL_BOX_BYTES, meta.length);
  return ownProperties(meta, boxes) ?? allProperties(meta, boxes);
}

function ownProperties(meta: Uint8Array, boxes: readonly Box[]): readonly PictureProperty[] | null {
  try {
    const primary = primaryItem(meta, boxes);
    return primary === null ? null : itemProperties(meta, boxes, primary);
  } catch (error) {
    if (error instanceof RangeError) return null; // a number claimed beyond the end of its box
    throw error;
  }
}

/**
 * The item that is the picture.
 *
 * @param boxes - those of the `meta` box
 * @throws RangeError where its box ends before it
 */
export function primaryItem(meta: Uint8Array, boxes: readonly Box[]): number | null {
  const box = boxes.find(({ type }) => type === "pitm");
  if (box === undefined) return null;
  const pitm = new BoxCursor(meta, box);
  return pitm.unsigned(pitm.version().version === 0 ? 2 : 4);
}

/**
 * The properties of an item; null where the file does not say which it has.
 *
 * @param boxes - those of the `meta` box
 * @throws RangeError where a box claims more than it holds
 */
export function itemProperties(
  meta: Uint8Array,
  boxes: readonly Box[],
  item: number,
): readonly PictureProperty[] | null {
  const own = new Set(
    propertyBoxes(meta, boxes)
      .filter(({ type }) => type === "ipma")
      .flatMap((box) => indicesOf(new BoxCursor(meta, box), item)),
  );
  if (own.size === 0) return null;
  return allProperties(meta, boxes).filter((_, index) => own.has(index + 1));
}

function allProperties(meta: Uint8Array, boxes: readonly Box[]): readonly PictureProperty[] {
  const list = propertyBoxes(meta, boxes).find(({ type }) => type === "ipco");
  if (list === undefined) return [];
  return boxesIn(meta, list.start, list.end).map(({ type, start, end }) => ({
    type,
    payload: meta.subarray(start, end),
  }));
}

function propertyBoxes(meta: Uint8Array, boxes: readonly Box[]): readonly Box[] {
  const iprp = boxes.find(({ type }) => type === "iprp");
  return iprp === undefined ? [] : boxesIn(meta, iprp.start, iprp.end);
}

/** One-based indices of the properties that belong to an item. */
function indicesOf(ipma: BoxCursor, item: number): number[] {
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

/** Whether a property rotates or mirrors the picture. */
export function turnsPicture({ type, payload }: PictureProperty): boolean {
  return type === "imir" || (type === "irot" && ((payload[0] ?? 0) & 3) !== 0);
}
