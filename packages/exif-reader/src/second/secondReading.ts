import type { MeteringPattern } from "../exposureRecord.ts";
import { METERING_PATTERNS } from "../field/codes.ts";
import type { ByteSource } from "../source/byteSource.ts";
import { type ExposureSource, withSource } from "../source/openSource.ts";
import { NUMBER_TAGS, type NumberTag } from "../tag/tags.ts";

/** What another program reads of the five main settings, each as recorded; null where it reads none. */
export interface SecondAnswers {
  /** f-number. */
  readonly aperture: number | null;
  /** Exposure time in seconds. */
  readonly shutter: number | null;
  /** ISO sensitivity. */
  readonly iso: number | null;
  /** Compensation in stops; + is brighter. */
  readonly compensation: number | null;
  /** Metering pattern, the recorded code put into our words. */
  readonly meteringPattern: MeteringPattern | null;
}

/** A second, independent reading of a file's Exif block. */
export interface SecondReading {
  /** Who read it. */
  readonly reader: "exifr";
  /** What it read; null where it cannot read the file. */
  readonly answers: SecondAnswers | null;
}

/**
 * No translation and no clean-up, so that numbers stay as recorded. The Exif block alone: exifr finds XMP by
 * regular expressions, which a hostile file can keep busy for ever.
 */
const PLAIN = {
  translateKeys: false,
  translateValues: false,
  reviveValues: false,
  sanitize: false,
  mergeOutput: false,
  tiff: true,
  ifd0: {},
  exif: true,
  ifd1: false,
  gps: false,
  interop: false,
  xmp: false,
  icc: false,
  iptc: false,
  jfif: false,
};

/** Larger than the raw files of most cameras; of a longer file, only the beginning is read. */
const MOST_BYTES = 128 * 2 ** 20;

/**
 * Reads the five main settings once more, with exifr, which shares no code with this package.
 *
 * exifr is loaded by the first call, and reads Exif alone: no XMP, no sidecar. A file that it cannot read has no answers.
 * {@link compareReadings} compares them with a record. Nothing is fetched from a network.
 *
 * @param source - a path, a `file:` URL, a Blob, or the bytes of the file
 * @throws {@link ExifError} where the file cannot be opened, as {@link readExposure} does
 *
 * @example
 * (await secondReading("leaf.jpg")).answers?.aperture; // => 8
 */
export async function secondReading(source: ExposureSource): Promise<SecondReading> {
  // exifr is given bytes, never a path: it would fetch a path that looks like an address.
  const bytes = await withSource(source, beginning);
  return { reader: "exifr", answers: await answersOf(bytes) };
}

/** As an array of this realm, since exifr knows no other. */
async function beginning(source: ByteSource): Promise<Uint8Array> {
  const bytes = await source.read(0, Math.min(source.size, MOST_BYTES));
  return new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

async function answersOf(bytes: Uint8Array): Promise<SecondAnswers | null> {
  const { default: exifr } = await import("exifr");
  let blocks: Blocks | undefined;
  try {
    blocks = await exifr.parse(bytes, PLAIN);
  } catch {
    return null; // an unknown format or a damaged file: exifr has no codes to distinguish them
  }
  const code = numberOf(blocks, "MeteringMode");
  return {
    aperture: numberOf(blocks, "FNumber"),
    shutter: numberOf(blocks, "ExposureTime"),
    iso: numberOf(blocks, "PhotographicSensitivity"),
    compensation: numberOf(blocks, "ExposureBiasValue"),
    meteringPattern: code === null ? null : (METERING_PATTERNS[code] ?? "other"),
  };
}

/** Directories by name, values by tag; a value is whatever the file held. */
type Blocks = Readonly<Record<string, Readonly<Record<number, unknown>> | undefined>>;

/** The first number under a tag, in either directory: raw files keep Exif tags in IFD0 too. */
function numberOf(blocks: Blocks | undefined, tag: NumberTag): number | null {
  const { code } = NUMBER_TAGS[tag];
  const value = blocks?.["exif"]?.[code] ?? blocks?.["ifd0"]?.[code];
  const first = Array.isArray(value) || ArrayBuffer.isView(value) ? Object(value)[0] : value;
  return typeof first === "number" && Number.isFinite(first) ? first || 0 : null; // never -0
}
