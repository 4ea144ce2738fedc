import type { ExifNote } from "../exposureRecord.ts";
import { type ByteSource, memorySource } from "../source/byteSource.ts";
import { startsWith } from "../source/bytes.ts";

/** A TIFF structure that holds metadata, and which directory its first one is. */
export interface TiffBlock {
  readonly source: ByteSource;
  readonly root: "ifd0" | "exif" | "gps";
}

/** What a container walker found; nothing of it is decoded yet. */
export interface MetadataBlocks {
  readonly tiff: TiffBlock[];
  /** XMP packets as stored. */
  readonly xmp: Uint8Array[];
  /** Records of the IPTC's older form, the Information Interchange Model. */
  readonly iptc: Uint8Array[];
  readonly notes: ExifNote[];
}

/** No XMP packet that holds exposure facts comes near this; edit histories and depth maps do. */
export const MOST_XMP_BYTES: number = 2 ** 21;

/** An Exif block holds a thumbnail and a maker note at most; 64 KiB in a JPEG, a little more elsewhere. */
export const MOST_EXIF_BYTES: number = 2 ** 22;

/** Nothing found yet. */
export function noBlocks(): MetadataBlocks {
  return { tiff: [], xmp: [], iptc: [], notes: [] };
}

/** The note for structure that ends or contradicts itself; what stands before it is still used. */
export function malformedContainer(what: string): ExifNote {
  return {
    code: "container-malformed",
    message: `The ${what} is cut off or contradicts itself; metadata after that point is not read.`,
  };
}

/** `Exif`, a NUL, and a byte that should be another one. */
const EXIF_MARK = "Exif\0";
const EXIF_MARK_BYTES = 6;

/** An Exif block from bytes that may carry the mark that JPEG puts before it. */
export function exifBlock(bytes: Uint8Array): TiffBlock {
  const marked = startsWith(bytes, EXIF_MARK);
  return {
    source: memorySource(marked ? bytes.subarray(EXIF_MARK_BYTES) : bytes),
    root: "ifd0",
  };
}
