import { viewOf } from "../source/bytes.ts";
import { expectBytes } from "../source/expectSource.ts";
import {
  type IfdEntry,
  ifdEntries,
  nextIfd,
  numberAt,
  type TiffHeader,
  TYPE_BYTES,
  tiffHeader,
} from "./ifd.ts";

/** The tags of one TIFF directory. */
export interface TiffDirectory {
  /** A tag's numbers (rationals divided, text as character codes), or null when the directory does not hold it. */
  numbers(tag: number): readonly number[] | null;
}

/** SubIFDs [TIFF]. */
const SUB_DIRECTORIES = 330;
const MOST_DIRECTORIES = 64;
const TIFF_HEADER_BYTES = 8;

/**
 * Directories of a TIFF-based file: the main chain, and the sub-directories that one tag of them points to.
 *
 * @param bytes - the whole file
 * @param pointer - the tag that leads to sub-directories; SubIFDs where it is left out
 * @returns an empty list when the file is no TIFF; damaged entries are left out
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for anything but a Uint8Array
 * @see [TIFF]
 */
export function tiffDirectories(
  bytes: Uint8Array,
  pointer: number = SUB_DIRECTORIES,
): readonly TiffDirectory[] {
  expectBytes(bytes);
  const header = tiffHeader(bytes);
  if (header === null) return [];
  const directories: TiffDirectory[] = [];
  const waiting = [header.firstIfd];
  const seen = new Set<number>();
  for (let at = waiting.shift(); at !== undefined; at = waiting.shift()) {
    if (!isPlace(at, bytes) || seen.has(at)) continue;
    if (directories.length === MOST_DIRECTORIES) break;
    seen.add(at);
    const directory = directoryOf(bytes, ifdEntries(bytes.subarray(at), at, header), header);
    directories.push(directory);
    const below = (directory.numbers(pointer) ?? []).slice(0, MOST_DIRECTORIES);
    waiting.push(...below, nextIfd(bytes.subarray(at), header));
  }
  return directories;
}

/** Whether a directory can start there: a damaged pointer may be any number. */
function isPlace(at: number, bytes: Uint8Array): boolean {
  return Number.isInteger(at) && at >= TIFF_HEADER_BYTES && at + 2 <= bytes.length;
}

function directoryOf(
  bytes: Uint8Array,
  entries: readonly IfdEntry[],
  header: TiffHeader,
): TiffDirectory {
  const byTag = new Map(entries.map((entry) => [entry.tag, entry]));
  return {
    numbers: (tag) => {
      const entry = byTag.get(tag);
      return entry === undefined ? null : entryNumbers(bytes, entry, header);
    },
  };
}

function entryNumbers(
  bytes: Uint8Array,
  { type, count, valueAt, byteLength }: IfdEntry,
  { littleEndian }: TiffHeader,
): number[] | null {
  const unit = TYPE_BYTES[type];
  if (unit === undefined || count === 0 || valueAt + byteLength > bytes.length) return null;
  const view = viewOf(bytes);
  return Array.from({ length: count }, (_, index) => {
    const { numerator, denominator } = numberAt(view, valueAt + unit * index, type, littleEndian);
    return numerator / denominator;
  });
}
