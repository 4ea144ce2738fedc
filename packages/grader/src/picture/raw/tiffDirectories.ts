/** The tags of one TIFF directory. */
export interface TiffDirectory {
  /** A tag's numbers (rationals divided, text as character codes), or null when the directory does not hold it. */
  numbers(tag: number): readonly number[] | null;
}

/** Bytes of a value by TIFF type code [TIFF6, section 2]; types that are not numbers or text are left out. */
const TYPE_BYTES: Readonly<Record<number, number>> = {
  1: 1,
  2: 1,
  3: 2,
  4: 4,
  5: 8,
  6: 1,
  7: 1,
  8: 2,
  9: 4,
  10: 8,
  11: 4,
  12: 8,
  13: 4,
};

/** Magic numbers of TIFF and of makers' raw files that differ from it in nothing else: ORF (two) and RW2. */
const MAGICS: ReadonlySet<number> = new Set([42, 0x4f52, 0x5352, 0x55]);

/** SubIFDs [TIFF-EP]. */
const SUB_DIRECTORIES = 330;
const MOST_DIRECTORIES = 64;
const MOST_ENTRIES = 2048;

/**
 * Directories of a TIFF-based raw file: the main chain and its sub-directories (Exif and maker notes are left alone).
 *
 * Levels and the whereabouts of the pixels stand here; LibRaw reports neither in full.
 *
 * @param bytes - the whole file
 * @param pointer - the tag that leads to sub-directories
 * @returns an empty list when the file is no TIFF; damaged entries are left out
 * @see [TIFF6]
 */
export function tiffDirectories(
  bytes: Uint8Array,
  pointer: number = SUB_DIRECTORIES,
): readonly TiffDirectory[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 8) return [];
  const order = view.getUint16(0);
  if (order !== 0x4949 && order !== 0x4d4d) return [];
  const little = order === 0x4949;
  if (!MAGICS.has(view.getUint16(2, little))) return [];

  const directories: TiffDirectory[] = [];
  const queue = [view.getUint32(4, little)];
  const seen = new Set<number>();
  for (let offset = queue.shift(); offset !== undefined; offset = queue.shift()) {
    if (offset === 0 || seen.has(offset) || offset + 2 > bytes.length) continue;
    if (directories.length === MOST_DIRECTORIES) break;
    seen.add(offset);
    const { directory, next } = readDirectory(view, offset, little);
    directories.push(directory);
    queue.push(...(directory.numbers(pointer) ?? []).slice(0, MOST_DIRECTORIES), next);
  }
  return directories;
}

function readDirectory(
  view: DataView,
  offset: number,
  little: boolean,
): { directory: TiffDirectory; next: number } {
  const entries = new Map<number, number>();
  const count = Math.min(view.getUint16(offset, little), MOST_ENTRIES);
  let at = offset + 2;
  for (let i = 0; i < count && at + 12 <= view.byteLength; i++, at += 12) {
    entries.set(view.getUint16(at, little), at);
  }
  const next = at + 4 <= view.byteLength ? view.getUint32(at, little) : 0;
  const directory: TiffDirectory = {
    numbers: (tag) => {
      const entry = entries.get(tag);
      return entry === undefined ? null : readNumbers(view, entry, little);
    },
  };
  return { directory, next };
}

function readNumbers(view: DataView, entry: number, little: boolean): number[] | null {
  const type = view.getUint16(entry + 2, little);
  const count = view.getUint32(entry + 4, little);
  const size = TYPE_BYTES[type];
  if (size === undefined || count === 0) return null;
  const start = size * count <= 4 ? entry + 8 : view.getUint32(entry + 8, little);
  if (start + size * count > view.byteLength) return null;
  return Array.from({ length: count }, (_, i) => readNumber(view, type, start + size * i, little));
}

function readNumber(view: DataView, type: number, at: number, little: boolean): number {
  switch (type) {
    case 3:
      return view.getUint16(at, little);
    case 4:
    case 13:
      return view.getUint32(at, little);
    case 5:
      return view.getUint32(at, little) / view.getUint32(at + 4, little);
    case 6:
      return view.getInt8(at);
    case 8:
      return view.getInt16(at, little);
    case 9:
      return view.getInt32(at, little);
    case 10:
      return view.getInt32(at, little) / view.getInt32(at + 4, little);
    case 11:
      return view.getFloat32(at, little);
    case 12:
      return view.getFloat64(at, little);
    default:
      return view.getUint8(at);
  }
}
