import { readSidecar } from "#disk";
import { collectFields } from "./collectFields.ts";
import { locateMetadata } from "./container/locateMetadata.ts";
import { ExifError } from "./errors.ts";
import type { ExifNote, ExposureFields, ExposureRecord } from "./exposureRecord.ts";
import { iptcSource } from "./iptc/iptcSource.ts";
import { type PictureFormat, RAW_EXTENSIONS } from "./pictureFormat.ts";
import { sniffFormat } from "./sniffFormat.ts";
import type { ByteSource } from "./source/byteSource.ts";
import { type ExposureSource, type SourcePlace, withSource } from "./source/openSource.ts";
import { readExifTags } from "./tiff/exifTags.ts";
import { holdsSensorData } from "./tiff/tiffFamily.ts";
import { NO_XMP, readXmp } from "./xmp/readXmp.ts";

/** How to read an exposure record. */
export interface ReadExposureOptions {
  /**
   * Whether to look for `name.ext.xmp` and `name.xmp` beside the picture; bytes have none.
   *
   * @default true
   */
  readonly sidecar?: boolean;
}

/** Enough to find the first directory of a camera file. */
const SNIFFED_BYTES = 65536;

/**
 * Reads what a photograph records about its exposure.
 *
 * Exif comes first, embedded XMP where Exif has no usable value, the sidecar last. Every field
 * says where its value came from or why it is null. A picture without metadata, or with broken
 * metadata, gives a record with notes, not an error. Only the parts of a file that hold metadata
 * are read. No serial number, owner, artist or position is ever returned, no keyword but those that
 * begin with `tonefall:`, and no region of a person.
 *
 * @param source - a path, a `file:` URL, a Blob (a browser's `File`, for one), or the bytes of the file
 * @throws {@link ExifError} `EXIF_NO_SUCH_FILE`, `EXIF_IS_A_FOLDER`, `EXIF_EMPTY_FILE`,
 * `EXIF_CANNOT_READ`, or `EXIF_UNKNOWN_FORMAT` for what is neither a picture nor XMP
 *
 * @example
 * const { aperture } = await readExposure("leaf.jpg");
 * aperture.value === null ? REASONS[aperture.reason] : `f/${aperture.value} (${aperture.from})`;
 */
export async function readExposure(
  source: ExposureSource,
  options: ReadExposureOptions = {},
): Promise<ExposureRecord> {
  return withSource(source, (bytes, place) => readRecord(bytes, place, options.sidecar ?? true));
}

async function readRecord(
  bytes: ByteSource,
  { name, path }: SourcePlace,
  withSidecar: boolean,
): Promise<ExposureRecord> {
  const format = await formatOf(bytes, name);
  if (format === null) {
    throw new ExifError(
      "EXIF_UNKNOWN_FORMAT",
      `Expected a picture or XMP for ${name ?? "bytes"} but received something else`,
    );
  }
  const blocks = await locateMetadata(bytes, format);
  const exif = await readExifTags(blocks.tiff);
  const xmp = readXmp([...blocks.xmp, ...exif.xmp], "XMP");
  const sidecar =
    withSidecar && path !== null && format !== "xmp" ? await readSidecar(path) : NO_XMP;

  const { fields, notes } = collectFields([
    exif.source,
    xmp.source,
    iptcSource(blocks.iptc),
    sidecar.source,
  ]);
  const read = [blocks, exif, xmp, sidecar].flatMap((part) => part.notes);
  return { format, ...fields, notes: [...read, ...notes, ...noMetadata(fields, read)] };
}

/** The format. A TIFF that holds sensor values, or is named like a raw file, is `raw`: its first picture is a preview. */
async function formatOf(bytes: ByteSource, name: string | null): Promise<PictureFormat | null> {
  const format = sniffFormat(await bytes.read(0, SNIFFED_BYTES));
  if (format !== "tiff") return format;
  const extension = name?.slice(name.lastIndexOf(".")).toLowerCase() ?? "";
  return RAW_EXTENSIONS.has(extension) || (await holdsSensorData(bytes)) ? "raw" : "tiff";
}

/** The note for a picture without any field but marks, which say nothing about its exposure. */
function noMetadata(fields: ExposureFields, notes: readonly ExifNote[]): ExifNote[] {
  const names = Object.keys(fields) as (keyof ExposureFields)[];
  const saysSomething = (name: keyof ExposureFields): boolean => {
    const field = fields[name];
    const isAbsent = "reason" in field && field.reason === "absent";
    return !isAbsent && name !== "keywords" && name !== "regions";
  };
  if (names.some(saysSomething) || notes.some(({ code }) => code === "metadata-not-read"))
    return [];
  return [{ code: "no-metadata", message: "The file records nothing about its exposure." }];
}
