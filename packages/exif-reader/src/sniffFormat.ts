import type { PictureFormat } from "./pictureFormat.ts";
import { latin1, startsWith } from "./source/bytes.ts";
import { expectBytes } from "./source/expectSource.ts";
import { decodeText } from "./text/decodeText.ts";
import { tiffHeader } from "./tiff/ifd.ts";
import { tiffFamily } from "./tiff/tiffFamily.ts";

/**
 * The format of a file, judged by its content alone.
 *
 * @param bytes - the start of the file. 12 bytes identify the container; raw files that are TIFF inside need their first
 *   directory too, which camera files have in their first 64 KiB
 * @returns the format, or null where it is neither a picture nor XMP, or there are no bytes
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for anything but a Uint8Array
 *
 * @example
 * sniffFormat(new Uint8Array([0xff, 0xd8, 0xff, 0xe1])); // => "jpeg"
 * sniffFormat(new TextEncoder().encode("not a picture")); // => null
 */
export function sniffFormat(bytes: Uint8Array): PictureFormat | null {
  expectBytes(bytes);
  // Bytes that were transferred to another thread have no length either, and cannot be read.
  if (bytes.length === 0) return null;
  const signature = SIGNATURES.find(({ at, text }) => startsWith(bytes, text, at));
  if (signature !== undefined) return signature.format;
  if (startsWith(bytes, "RIFF") && startsWith(bytes, "WEBP", 8)) return "webp";
  if (startsWith(bytes, "ftyp", 4)) return isobmffFormat(bytes);
  if (isPhaseOne(bytes)) return "iiq";
  if (startsWith(bytes, "BM") && startsWith(bytes, "\0\0\0\0", 6)) return "bmp";
  if (tiffHeader(bytes) !== null) return tiffFamily(bytes);
  return isXmpText(bytes) ? "xmp" : null;
}

const SIGNATURES: readonly { format: PictureFormat; text: string; at: number }[] = [
  { format: "jpeg", text: "\xff\xd8\xff", at: 0 },
  { format: "png", text: "\x89PNG\r\n\x1a\n", at: 0 },
  { format: "exif", text: "Exif\0\0", at: 0 },
  { format: "raf", text: "FUJIFILMCCD-RAW", at: 0 },
  { format: "mrw", text: "\0MRM", at: 0 },
  { format: "crw", text: "HEAPCCDR", at: 6 },
  { format: "x3f", text: "FOVb", at: 0 },
  { format: "gif", text: "GIF8", at: 0 },
  { format: "psd", text: "8BPS", at: 0 },
  { format: "jxl", text: "\xff\x0a", at: 0 },
  { format: "jxl", text: "\0\0\0\x0cJXL ", at: 0 },
  { format: "jp2", text: "\0\0\0\x0cjP  ", at: 0 },
  { format: "jp2", text: "\xff\x4f\xff\x51", at: 0 },
];

/** The furthest that the mark of a Phase One block is from the start of its file, bytes. */
const MOST_BEFORE_MARK = 32;

/** `Raw` behind the byte order, four times, in either order: as a block of a TIFF, or from the start. */
const PHASE_ONE_MARKS = /IIII.waR|MMMMRaw/s;

function isPhaseOne(bytes: Uint8Array): boolean {
  return PHASE_ONE_MARKS.test(latin1(bytes, 0, Math.min(MOST_BEFORE_MARK, bytes.length)));
}

const BRANDS: Readonly<Record<string, PictureFormat>> = {
  ...{ "crx ": "cr3", avif: "avif", avis: "avif" },
  ...{ heic: "heic", heix: "heic", heim: "heic", heis: "heic", hevc: "heic", hevx: "heic" },
  ...{ mif1: "heic", mif2: "heic", msf1: "heic" },
};

/** The general brands `mif1` and `msf1` come before specific ones, so all are checked. */
function isobmffFormat(bytes: Uint8Array): PictureFormat | null {
  const boxBytes = ((bytes[2] ?? 0) << 8) | (bytes[3] ?? 0);
  const end = Math.min(boxBytes, bytes.length, 256);
  const formats: PictureFormat[] = [];
  for (let at = 8; at + 4 <= end; at += at === 8 ? 8 : 4) {
    const format = BRANDS[latin1(bytes, at, at + 4)];
    if (format !== undefined) formats.push(format);
  }
  return formats.find((format) => format !== "heic") ?? formats[0] ?? null;
}

/** XMP as a file of its own: XML whose root is `x:xmpmeta` or `rdf:RDF`. */
const XMP_ROOT = /^\s*(?:<\?[^>]*>\s*|<!--[^>]*-->\s*)*<(?:[\w.-]+:)?(?:xmpmeta|xapmeta|RDF)[\s>]/;

function isXmpText(bytes: Uint8Array): boolean {
  return XMP_ROOT.test(decodeText(bytes.subarray(0, 4096)));
}
