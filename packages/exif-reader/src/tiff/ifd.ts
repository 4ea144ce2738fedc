import type { ByteSource } from "../source/byteSource.ts";
import { viewOf } from "../source/bytes.ts";
import type { Fraction } from "../tag/tagSource.ts";

/*
 * A reader of our own, because a record has to distinguish 0/0 from 0/1, -1/1 ("unknown") from -100/100
 * and a wrong type from a right one. General readers divide rationals as they read and drop the
 * type; exifr 7.1.3 also gives up a whole directory for one bad entry, and given the same 211
 * Exif blocks of real photographs returned 602 of the 643 main fields that are in them, at twice
 * the time. It serves as an independent second reader, in `second/` and in tests.
 */

/** How a TIFF structure is laid out. */
export interface TiffHeader {
  readonly littleEndian: boolean;
  /** BigTIFF: 8-byte counts and offsets. */
  readonly big: boolean;
  /** Offset of the first directory. */
  readonly firstIfd: number;
}

/** One directory entry; the value itself is not read yet. */
export interface IfdEntry {
  readonly tag: number;
  readonly type: number;
  readonly count: number;
  /** Offset of the value, inside the entry where it fits there. */
  readonly valueAt: number;
  readonly byteLength: number;
}

/** A value as the file holds it, or `"beyond-end"` where it points outside the block. */
export type TiffValue =
  | { readonly numbers: readonly Fraction[] }
  | { readonly bytes: Uint8Array }
  | "beyond-end"
  | "unknown-type";

const MAGIC_BIG_TIFF = 43;
/** TIFF, Panasonic raw ("U"), Olympus raw ("RO", "RS"). */
const MAGIC_NUMBERS = new Set([42, MAGIC_BIG_TIFF, 0x55, 0x4f52, 0x5352]);

/** Enough for a header of either kind. */
const HEADER_BYTES = 16;

/** Directories of real files have some dozens of entries; 65535 can be claimed. */
const MOST_ENTRIES = 4096;

/** No wanted tag holds more numbers than a subject area. */
const MOST_NUMBERS = 8;

/** Bytes per value by TIFF type; 129 is the UTF-8 text of Exif 3.0. */
export const TYPE_BYTES: Readonly<Record<number, number>> = {
  ...{ 1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4 },
  ...{ 16: 8, 17: 8, 18: 8, 129: 1 },
};

/** Layout of the TIFF structure that starts these bytes, or null where none does. */
export function tiffHeader(bytes: Uint8Array): TiffHeader | null {
  if (bytes.length < 8 || bytes[0] !== bytes[1]) return null;
  const littleEndian = bytes[0] === 0x49;
  if (!littleEndian && bytes[0] !== 0x4d) return null;
  const view = viewOf(bytes);
  const magic = view.getUint16(2, littleEndian);
  if (!MAGIC_NUMBERS.has(magic)) return null;
  if (magic !== MAGIC_BIG_TIFF) {
    return { littleEndian, big: false, firstIfd: view.getUint32(4, littleEndian) };
  }
  if (bytes.length < HEADER_BYTES) return null;
  return { littleEndian, big: true, firstIfd: Number(view.getBigUint64(8, littleEndian)) };
}

/** The entries of the directory that starts these bytes, as far as the bytes go. */
export function ifdEntries(bytes: Uint8Array, ifdAt: number, header: TiffHeader): IfdEntry[] {
  const { littleEndian, big } = header;
  const view = viewOf(bytes);
  const unsigned = (at: number): number =>
    big ? Number(view.getBigUint64(at, littleEndian)) : view.getUint32(at, littleEndian);
  const { countBytes, entryBytes, wordBytes } = layout(big);
  if (bytes.length < countBytes) return [];

  const entries: IfdEntry[] = [];
  const claimed = claimedEntries(bytes, header);
  const held = Math.floor((bytes.length - countBytes) / entryBytes);
  for (let index = 0; index < Math.min(claimed, held, MOST_ENTRIES); index++) {
    const at = countBytes + index * entryBytes;
    const type = view.getUint16(at + 2, littleEndian);
    const count = unsigned(at + 4);
    const byteLength = count * (TYPE_BYTES[type] ?? 0);
    const inlineAt = at + 4 + wordBytes;
    const valueAt = byteLength <= wordBytes ? ifdAt + inlineAt : unsigned(inlineAt);
    entries.push({ tag: view.getUint16(at, littleEndian), type, count, valueAt, byteLength });
  }
  return entries;
}

/**
 * Reads a directory; `complete` is false where it is cut off or claims too many entries. `next` is the offset of the one that
 * follows it, 0 where none does.
 */
export async function readIfd(
  block: ByteSource,
  at: number,
  header: TiffHeader,
): Promise<{ entries: IfdEntry[]; complete: boolean; next: number }> {
  const { countBytes, entryBytes, wordBytes } = layout(header.big);
  const start = await block.read(at, countBytes);
  if (at < HEADER_BYTES / 2 || start.length < countBytes) {
    return { entries: [], complete: false, next: 0 };
  }
  const claimed = claimedEntries(start, header);
  const length = countBytes + Math.min(claimed, MOST_ENTRIES) * entryBytes;
  const bytes = await block.read(at, length + wordBytes);
  const entries = ifdEntries(bytes.subarray(0, length), at, header);
  return { entries, complete: entries.length === claimed, next: nextIfd(bytes, header) };
}

/** Offset of the directory that follows the one that starts these bytes; 0 where none does. */
export function nextIfd(bytes: Uint8Array, header: TiffHeader): number {
  const { countBytes, entryBytes, wordBytes } = layout(header.big);
  if (bytes.length < countBytes) return 0;
  const claimed = claimedEntries(bytes, header);
  const at = countBytes + claimed * entryBytes;
  return claimed > MOST_ENTRIES || at + wordBytes > bytes.length ? 0 : offsetAt(bytes, at, header);
}

/** How many entries the directory that starts these bytes claims to have. */
function claimedEntries(bytes: Uint8Array, { big, littleEndian }: TiffHeader): number {
  const view = viewOf(bytes);
  return big ? Number(view.getBigUint64(0, littleEndian)) : view.getUint16(0, littleEndian);
}

function offsetAt(bytes: Uint8Array, at: number, { big, littleEndian }: TiffHeader): number {
  const view = viewOf(bytes);
  return big ? Number(view.getBigUint64(at, littleEndian)) : view.getUint32(at, littleEndian);
}

/** Reads the value of an entry: at most 8 numbers, at most `mostBytes` of text or plain bytes. */
export async function readValue(
  block: ByteSource,
  entry: IfdEntry,
  header: TiffHeader,
  mostBytes: number,
): Promise<TiffValue> {
  const unit = TYPE_BYTES[entry.type];
  if (unit === undefined) return "unknown-type";
  if (entry.valueAt + entry.byteLength > block.size) return "beyond-end";
  const isPlain = entry.type === 2 || entry.type === 7 || entry.type === 129;
  const wanted = isPlain || entry.count > MOST_NUMBERS ? mostBytes : MOST_NUMBERS * unit;
  const bytes = await block.read(entry.valueAt, Math.min(entry.byteLength, wanted));
  if (isPlain || entry.count > MOST_NUMBERS) return { bytes };

  const view = viewOf(bytes);
  const numbers: Fraction[] = [];
  for (let at = 0; at + unit <= bytes.length; at += unit) {
    numbers.push(numberAt(view, at, entry.type, header.littleEndian));
  }
  return { numbers };
}

/** The number at a place of these bytes, as a fraction; text and plain bytes give character codes. */
export function numberAt(
  view: DataView,
  at: number,
  type: number,
  littleEndian: boolean,
): Fraction {
  const whole = (numerator: number): Fraction => ({ numerator, denominator: 1 });
  switch (type) {
    case 1:
    case 2:
    case 7:
    case 129:
      return whole(view.getUint8(at));
    case 3:
      return whole(view.getUint16(at, littleEndian));
    case 5:
      return {
        numerator: view.getUint32(at, littleEndian),
        denominator: view.getUint32(at + 4, littleEndian),
      };
    case 6:
      return whole(view.getInt8(at));
    case 8:
      return whole(view.getInt16(at, littleEndian));
    case 9:
      return whole(view.getInt32(at, littleEndian));
    case 10:
      return {
        numerator: view.getInt32(at, littleEndian),
        denominator: view.getInt32(at + 4, littleEndian),
      };
    case 11:
      return whole(view.getFloat32(at, littleEndian));
    case 12:
      return whole(view.getFloat64(at, littleEndian));
    case 16:
    case 18:
      return whole(Number(view.getBigUint64(at, littleEndian)));
    case 17:
      return whole(Number(view.getBigInt64(at, littleEndian)));
    default:
      return whole(view.getUint32(at, littleEndian)); // 4 LONG, 13 IFD
  }
}

function layout(big: boolean): { countBytes: number; entryBytes: number; wordBytes: number } {
  return big
    ? { countBytes: 8, entryBytes: 20, wordBytes: 8 }
    : { countBytes: 2, entryBytes: 12, wordBytes: 4 };
}
