import type { ByteSource } from "../source/byteSource.ts";
import { bytesOfHex, latin1, startsWith } from "../source/bytes.ts";
import { inflated } from "../source/inflated.ts";
import { damagedChunk } from "./damagedChunk.ts";
import {
  exifBlock,
  type MetadataBlocks,
  MOST_EXIF_BYTES,
  MOST_XMP_BYTES,
  malformedContainer,
  noBlocks,
} from "./metadataBlocks.ts";
import { checksumsOf, chunkHeader, SIGNATURE_BYTES } from "./pngChunks.ts";

const XMP_KEYWORD = "XML:com.adobe.xmp";
const RAW_PROFILE = "Raw profile type ";
const JPEG_XMP_MARK = "http://ns.adobe.com/xap/1.0/\0";

/** A 100-megapixel picture in chunks of 8 KiB has some 40 000. */
const MOST_CHUNKS = 200_000;

/**
 * Finds the Exif block and the XMP packet of a PNG: `eXIf`, `iTXt`, and the hexadecimal
 * "Raw profile type exif / APP1 / xmp" texts that were written before `eXIf` was standardised.
 *
 * @see [PNG, eXIf and iTXt]
 */
export async function pngBlocks(file: ByteSource): Promise<MetadataBlocks> {
  const blocks = noBlocks();
  let at = SIGNATURE_BYTES;
  for (let chunks = 0; chunks < MOST_CHUNKS; chunks++) {
    const head = await file.read(at, 8);
    if (head.length < 8) {
      blocks.notes.push(malformedContainer("PNG"));
      break;
    }
    const { type, length } = chunkHeader(head);
    if (type === "IEND") break;
    if (type === "eXIf" && length <= MOST_EXIF_BYTES) {
      const data = await chunkData(file, at, length);
      if (data === "damaged") blocks.notes.push(damagedChunk(type));
      else blocks.tiff.unshift(exifBlock(data));
    } else if (TEXT_CHUNKS.has(type) && length <= MOST_XMP_BYTES) {
      const data = await chunkData(file, at, length);
      if (data === "damaged") blocks.notes.push(damagedChunk(type));
      else addText(blocks, type, data);
    }
    at += 12 + length;
  }
  return blocks;
}

/** Some writers of metadata leave the checksum 0: nothing was summed, so nothing is contradicted. */
const NO_CHECKSUM = 0;

/**
 * A chunk's data, checked against its checksum; of a file that ends before the checksum, whatever there is.
 *
 * @see [PNG] third edition, 5.5 (CRC algorithm) and 13.1 (a damaged ancillary chunk may be ignored)
 */
async function chunkData(
  file: ByteSource,
  at: number,
  length: number,
): Promise<Uint8Array | "damaged"> {
  const chunk = await file.read(at + 4, 4 + length + 4);
  const data = chunk.subarray(4, 4 + length);
  if (chunk.length < 4 + length + 4) return data;
  const { stated, actual } = checksumsOf(chunk);
  return stated === NO_CHECKSUM || stated === actual ? data : "damaged";
}

/** Most bytes of a text, once it is unpacked. */
const MOST_TEXT_BYTES = 2 * MOST_EXIF_BYTES;

const TEXT_CHUNKS = new Set(["tEXt", "zTXt", "iTXt"]);

function addText(blocks: MetadataBlocks, type: string, data: Uint8Array): void {
  const keywordEnd = data.indexOf(0);
  if (keywordEnd < 1 || keywordEnd > 79) return;
  const keyword = latin1(data, 0, keywordEnd);
  const isXmp = keyword === XMP_KEYWORD;
  if (!isXmp && !keyword.startsWith(RAW_PROFILE)) return;

  const text = chunkText(type, data.subarray(keywordEnd + 1));
  if (text === null) {
    blocks.notes.push(malformedContainer(`PNG text "${isXmp ? XMP_KEYWORD : RAW_PROFILE.trim()}"`));
  } else if (isXmp) {
    blocks.xmp.push(text);
  } else {
    addRawProfile(blocks, keyword.slice(RAW_PROFILE.length).toLowerCase(), text);
  }
}

/** The text of a chunk after its keyword, inflated where it is compressed; null where that fails. */
function chunkText(type: string, rest: Uint8Array): Uint8Array | null {
  if (type === "tEXt") return rest;
  if (type === "zTXt") return inflated(rest.subarray(1), MOST_TEXT_BYTES);
  const languageEnd = rest.indexOf(0, 2);
  const translationEnd = languageEnd < 0 ? -1 : rest.indexOf(0, languageEnd + 1);
  if (translationEnd < 0) return null;
  const text = rest.subarray(translationEnd + 1);
  return rest[0] === 1 ? inflated(text, MOST_TEXT_BYTES) : text;
}

/** A raw profile is a line with its name, a line with its length, and lines of hexadecimal digits. */
function addRawProfile(blocks: MetadataBlocks, name: string, text: Uint8Array): void {
  const digits = /^\s*\S+\s+\d+\s+([0-9a-f\s]*)/i.exec(new TextDecoder("latin1").decode(text))?.[1];
  const bytes = bytesOfHex((digits ?? "").replaceAll(/\s/g, ""));
  if (startsWith(bytes, JPEG_XMP_MARK)) blocks.xmp.push(bytes.subarray(JPEG_XMP_MARK.length));
  else if (name === "xmp") blocks.xmp.push(bytes);
  else if (name === "exif" || name === "app1") blocks.tiff.push(exifBlock(bytes));
}
