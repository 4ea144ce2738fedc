import type { PictureFormat } from "../pictureFormat.ts";
import type { ByteSource } from "../source/byteSource.ts";
import { latin1, startsWith, viewOf } from "../source/bytes.ts";
import {
  type IfdEntry,
  ifdEntries,
  readIfd,
  readValue,
  type TiffHeader,
  tiffHeader,
} from "./ifd.ts";

const TAG_NEW_SUBFILE_TYPE = 0x00fe;
const TAG_COMPRESSION = 0x0103;
const TAG_PHOTOMETRIC = 0x0106;
const TAG_MAKE = 0x010f;
const TAG_SUB_IFDS = 0x014a;
const TAG_LEAF_DATA = 0x8606;
const TAG_DNG_VERSION = 0xc612;

/** A filter mosaic [TIFF/EP], or a sensor's values without one (DNG's LinearRaw). */
const PHOTOMETRIC_SENSOR: ReadonlySet<number> = new Set([32803, 34892]);
/** Makers' own compression. */
const COMPRESSION_PRIVATE: ReadonlySet<number> = new Set([32767, 34713, 65535]);

const RAW_MAKERS: readonly (readonly [make: string, format: PictureFormat])[] = [
  ["NIKON", "nef"],
  ["SONY", "arw"],
  ["PENTAX", "pef"],
  ["RICOH", "pef"],
  ["SAMSUNG", "srw"],
  ["SEIKO EPSON", "erf"],
  ["HASSELBLAD", "3fr"],
  ["IMACON", "fff"],
  ["MAMIYA", "mef"],
  ["LEAF", "mos"],
  ["PHASE ONE", "iiq"],
  ["EASTMAN KODAK", "kdc"],
  ["KODAK", "dcr"],
];

/**
 * Which kind of TIFF these bytes start: a raw file by its own mark, or by its first directory holding sensor data or a
 * reduced picture with others below it. A maker's name gives the kind its own; a compression of makers' own tells a raw file
 * only with such a name.
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
  if (entry(TAG_LEAF_DATA) !== undefined) return "mos";

  const number = (tag: number) => smallNumber(bytes, entry(tag), header) ?? 0;
  const isReduced = (number(TAG_NEW_SUBFILE_TYPE) & 1) === 1 && entry(TAG_SUB_IFDS) !== undefined;
  const isSensor = PHOTOMETRIC_SENSOR.has(number(TAG_PHOTOMETRIC));
  if (!isReduced && !isSensor && !COMPRESSION_PRIVATE.has(number(TAG_COMPRESSION))) return "tiff";
  const makeAt = entry(TAG_MAKE)?.valueAt ?? bytes.length;
  const make = latin1(bytes, makeAt, makeAt + MAKE_CHARACTERS).toUpperCase();
  const ofMaker = RAW_MAKERS.find(([name]) => make.startsWith(name))?.[1];
  return ofMaker ?? (isSensor ? "raw" : "tiff");
}

/** Directories of a TIFF that are looked at for sensor data: raw files have some four. */
const MOST_DIRECTORIES = 32;

/**
 * Whether any directory of a TIFF holds a sensor's own values: those in a row, and those below each.
 *
 * A raw file whose maker is not known shows a decoder its preview first, which must not be taken for the picture.
 */
export async function holdsSensorData(file: ByteSource): Promise<boolean> {
  const header = tiffHeader(await file.read(0, 16));
  if (header === null) return false;
  const waiting = [header.firstIfd];
  const seen = new Set<number>();
  while (waiting.length > 0 && seen.size < MOST_DIRECTORIES) {
    const at = waiting.shift() as number;
    if (at === 0 || seen.has(at)) continue;
    seen.add(at);
    const { entries, next } = await readIfd(file, at, header);
    const numbers = async (tag: number): Promise<number[]> => {
      const entry = entries.find((candidate) => candidate.tag === tag);
      const value = entry && (await readValue(file, entry, header, 0));
      return typeof value === "object" && "numbers" in value
        ? value.numbers.map(({ numerator }) => numerator)
        : [];
    };
    const [photometric = -1] = await numbers(TAG_PHOTOMETRIC);
    if (PHOTOMETRIC_SENSOR.has(photometric)) return true;
    waiting.push(...(await numbers(TAG_SUB_IFDS)), next);
  }
  return false;
}

/** More than the longest of the makers' names. */
const MAKE_CHARACTERS = 16;

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
