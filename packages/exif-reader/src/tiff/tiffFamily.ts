import type { PictureFormat } from "../pictureFormat.ts";
import { latin1, startsWith, viewOf } from "../source/bytes.ts";
import { type IfdEntry, ifdEntries, type TiffHeader, tiffHeader } from "./ifd.ts";

const TAG_NEW_SUBFILE_TYPE = 0x00fe;
const TAG_COMPRESSION = 0x0103;
const TAG_PHOTOMETRIC = 0x0106;
const TAG_MAKE = 0x010f;
const TAG_SUB_IFDS = 0x014a;
const TAG_DNG_VERSION = 0xc612;

const PHOTOMETRIC_SENSOR = 32803;
/** Makers' own compression. */
const COMPRESSION_PRIVATE: ReadonlySet<number> = new Set([32767, 34713, 65535]);

const RAW_MAKERS: readonly (readonly [make: string, format: PictureFormat])[] = [
  ["NIKON", "nef"],
  ["SONY", "arw"],
  ["PENTAX", "pef"],
  ["RICOH", "pef"],
];

/**
 * Which kind of TIFF these bytes start: a raw file by its own mark, or by its first directory
 * holding sensor data or a reduced picture with others below it, from a maker of raw files.
 */
export function tiffFamily(bytes: Uint8Array): PictureFormat {
  if (startsWith(bytes, "CR\x02", 8)) return "cr2";
  const magic = latin1(bytes, 0, 4);
  if (magic === "IIU\0") return "rw2";
  if (magic === "IIRO" || magic === "IIRS" || magic === "MMOR") return "orf";

  const header = tiffHeader(bytes);
  if (header === null || header.firstIfd >= bytes.length) return "tiff";
  const entries = ifdEntries(bytes.subarray(header.firstIfd), header.firstIfd, header);
  const entry = (tag: number) => entries.find((candidate) => candidate.tag === tag);
  if (entry(TAG_DNG_VERSION) !== undefined) return "dng";

  const number = (tag: number) => smallNumber(bytes, entry(tag), header) ?? 0;
  const isReduced = (number(TAG_NEW_SUBFILE_TYPE) & 1) === 1 && entry(TAG_SUB_IFDS) !== undefined;
  const isSensor = number(TAG_PHOTOMETRIC) === PHOTOMETRIC_SENSOR;
  if (!isReduced && !isSensor && !COMPRESSION_PRIVATE.has(number(TAG_COMPRESSION))) return "tiff";
  const makeAt = entry(TAG_MAKE)?.valueAt ?? bytes.length;
  const make = latin1(bytes, makeAt, makeAt + 8).toUpperCase();
  return RAW_MAKERS.find(([name]) => make.startsWith(name))?.[1] ?? "tiff";
}

/** A SHORT or LONG that stands in its entry. */
function smallNumber(
  bytes: Uint8Array,
  entry: IfdEntry | undefined,
  { littleEndian }: TiffHeader,
): number | undefined {
  if (entry === undefined || entry.valueAt + 4 > bytes.length) return undefined;
  const view = viewOf(bytes);
  if (entry.type === 3) return view.getUint16(entry.valueAt, littleEndian);
  return entry.type === 4 ? view.getUint32(entry.valueAt, littleEndian) : undefined;
}
