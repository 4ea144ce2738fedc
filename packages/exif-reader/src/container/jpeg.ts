import type { ByteSource } from "../source/byteSource.ts";
import { joinedBytes, latin1, startsWith, viewOf } from "../source/bytes.ts";
import { readIfd, tiffHeader } from "../tiff/ifd.ts";
import {
  exifBlock,
  type MetadataBlocks,
  MOST_XMP_BYTES,
  malformedContainer,
  noBlocks,
  type TiffBlock,
} from "./metadataBlocks.ts";

const EXIF = "Exif\0";
const XMP = "http://ns.adobe.com/xap/1.0/\0";
const EXTENDED_XMP = "http://ns.adobe.com/xmp/extension/\0";
const IMAGE_RESOURCES = "Photoshop 3.0\0";
const LONGEST_SIGNATURE = EXTENDED_XMP.length;
const GUID_BYTES = 32;
/** After the signature: a GUID, the full length and this part's offset. */
const EXTENSION_HEADER_BYTES = GUID_BYTES + 8;

const MARKER_START_OF_SCAN = 0xda;
const MARKER_END = 0xd9;
const MARKER_APP1 = 0xe1;
const MARKER_APP13 = 0xed;

/** The image resource that holds IPTC records. */
const IPTC_RESOURCE = 0x0404;

/** A file of nothing but empty segments must end too. */
const MOST_SEGMENTS = 2048;
/** Decoders skip stray bytes between segments; so do we, this far. */
const MOST_STRAY_BYTES = 4096;

/**
 * Finds the Exif block, the XMP packets and the IPTC records of a JPEG, before its first scan.
 *
 * An extended packet is used when the main one names its GUID.
 *
 * @see [EXIF, application segments]; [XMP, embedding in JPEG]
 */
export async function jpegBlocks(file: ByteSource): Promise<MetadataBlocks> {
  const blocks = noBlocks();
  const extensions: Extensions = new Map();
  let extensionBytes = 0;
  let at = 2;
  for (let segments = 0; segments < MOST_SEGMENTS; segments++) {
    const marker = await nextMarker(file, at);
    if (marker === null) {
      blocks.notes.push(malformedContainer("JPEG header"));
      break;
    }
    at = marker.at + 2;
    if (marker.code === MARKER_START_OF_SCAN || marker.code === MARKER_END) break;
    if (standsAlone(marker.code)) continue;

    const head = await file.read(at, 2 + LONGEST_SIGNATURE);
    const length = head.length < 2 ? 0 : viewOf(head).getUint16(0);
    if (length < 2) {
      blocks.notes.push(malformedContainer("JPEG header"));
      break;
    }
    if (marker.code === MARKER_APP1) {
      const payload = (skip: number) => file.read(at + 2 + skip, length - 2 - skip);
      if (startsWith(head, EXIF, 2)) {
        await keepExif(blocks, exifBlock(await payload(0)));
      } else if (startsWith(head, XMP, 2)) {
        blocks.xmp.push(await payload(XMP.length));
      } else if (startsWith(head, EXTENDED_XMP, 2) && extensionBytes < MOST_XMP_BYTES) {
        const part = await payload(EXTENDED_XMP.length);
        extensionBytes += part.length;
        addPart(extensions, part);
      }
    } else if (marker.code === MARKER_APP13 && startsWith(head, IMAGE_RESOURCES, 2)) {
      const skip = 2 + IMAGE_RESOURCES.length;
      blocks.iptc.push(...iptcResources(await file.read(at + skip, length - skip)));
    }
    at += length;
  }
  addNamedExtension(blocks, extensions, extensionBytes >= MOST_XMP_BYTES);
  return blocks;
}

/** Keeps the first Exif block, or a later one where those before it hold no directory: blocks are never mixed. */
async function keepExif(blocks: MetadataBlocks, block: TiffBlock): Promise<void> {
  const [kept] = blocks.tiff;
  if (kept === undefined) blocks.tiff.push(block);
  else if (!(await holdsDirectory(kept)) && (await holdsDirectory(block))) blocks.tiff[0] = block;
}

async function holdsDirectory({ source }: TiffBlock): Promise<boolean> {
  const header = tiffHeader(await source.read(0, 16));
  return header !== null && (await readIfd(source, header.firstIfd, header)).entries.length > 0;
}

async function nextMarker(
  file: ByteSource,
  from: number,
): Promise<{ at: number; code: number } | null> {
  const near = await file.read(from, 2);
  if (near[0] === 0xff && isMarker(near[1])) return { at: from, code: near[1] ?? 0 };
  const bytes = await file.read(from, MOST_STRAY_BYTES);
  for (let index = 0; index + 1 < bytes.length; index++) {
    const code = bytes[index + 1];
    if (bytes[index] === 0xff && isMarker(code)) return { at: from + index, code: code ?? 0 };
  }
  return null;
}

/** FF 00 is a stuffed byte and FF FF a fill byte: neither is a marker. */
function isMarker(code: number | undefined): boolean {
  return code !== undefined && code !== 0x00 && code !== 0xff;
}

/** TEM, RST0..7 and SOI have no length. */
function standsAlone(code: number): boolean {
  return code === 0x01 || (code >= 0xd0 && code <= 0xd8);
}

function addNamedExtension(blocks: MetadataBlocks, extensions: Extensions, cut: boolean): void {
  const main = blocks.xmp[0];
  if (main === undefined || extensions.size === 0) return;
  const text = new TextDecoder().decode(main);
  for (const [guid, extension] of extensions) {
    if (!text.includes(guid)) continue;
    const packet = cut ? null : wholePacket(extension);
    if (packet !== null) {
      blocks.xmp.push(packet);
    } else if (cut) {
      const message = "The extended XMP packet is larger than 2 MiB and is not read.";
      blocks.notes.push({ code: "xmp-too-large", message });
    } else {
      const message = "Part of the extended XMP packet is missing, so it is ignored.";
      blocks.notes.push({ code: "xmp-malformed", message });
    }
  }
}

/** Parts of extended packets, by GUID. */
type Extensions = Map<string, Extension>;

interface Extension {
  /** Bytes of the whole packet, as its parts state it. */
  readonly length: number;
  /** By the offset at which each belongs: their order in the file may be any. */
  readonly parts: Map<number, Uint8Array>;
}

/** Keeps a part, which starts with a GUID of 32 characters, the full length and its own offset. */
function addPart(extensions: Extensions, part: Uint8Array): void {
  if (part.length < EXTENSION_HEADER_BYTES) return;
  const view = viewOf(part);
  const guid = latin1(part, 0, GUID_BYTES);
  const extension = extensions.get(guid) ?? {
    length: view.getUint32(GUID_BYTES),
    parts: new Map(),
  };
  extension.parts.set(view.getUint32(GUID_BYTES + 4), part.subarray(EXTENSION_HEADER_BYTES));
  extensions.set(guid, extension);
}

/** The packet, or null where its parts do not follow each other up to its full length. */
function wholePacket({ length, parts }: Extension): Uint8Array | null {
  const inOrder = [...parts].sort(([a], [b]) => a - b);
  let end = 0;
  for (const [offset, part] of inOrder) {
    if (offset !== end) return null;
    end += part.length;
  }
  return end === length ? joinedBytes(inOrder.map(([, part]) => part)) : null;
}

/** The IPTC records among image resources: each a mark, a number, a padded name, a length and padded data. */
function iptcResources(bytes: Uint8Array): Uint8Array[] {
  const view = viewOf(bytes);
  const found: Uint8Array[] = [];
  let at = 0;
  while (at + 12 <= bytes.length && startsWith(bytes, "8BIM", at)) {
    const number = view.getUint16(at + 4);
    const nameBytes = 1 + (bytes[at + 6] ?? 0);
    const lengthAt = at + 6 + nameBytes + (nameBytes % 2);
    if (lengthAt + 4 > bytes.length) break;
    const length = view.getUint32(lengthAt);
    const from = lengthAt + 4;
    if (number === IPTC_RESOURCE) found.push(bytes.subarray(from, from + length));
    at = from + length + (length % 2);
  }
  return found;
}
