import type { ByteSource } from "../source/byteSource.ts";
import { joinedBytes, latin1, startsWith, viewOf } from "../source/bytes.ts";
import {
  exifBlock,
  type MetadataBlocks,
  MOST_XMP_BYTES,
  malformedContainer,
  noBlocks,
} from "./metadataBlocks.ts";

const EXIF = "Exif\0";
const XMP = "http://ns.adobe.com/xap/1.0/\0";
const EXTENDED_XMP = "http://ns.adobe.com/xmp/extension/\0";
const IMAGE_RESOURCES = "Photoshop 3.0\0";
const LONGEST_SIGNATURE = EXTENDED_XMP.length;
/** After the signature: a GUID of 32 characters, the full length and this part's offset. */
const EXTENSION_HEADER_BYTES = 40;

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
  const extensions = new Map<string, Uint8Array[]>();
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
      if (startsWith(head, EXIF, 2) && blocks.tiff.length === 0) {
        blocks.tiff.push(exifBlock(await payload(0)));
      } else if (startsWith(head, XMP, 2)) {
        blocks.xmp.push(await payload(XMP.length));
      } else if (startsWith(head, EXTENDED_XMP, 2) && extensionBytes < MOST_XMP_BYTES) {
        const part = await payload(EXTENDED_XMP.length);
        const guid = latin1(part, 0, 32);
        const parts = extensions.get(guid) ?? [];
        parts.push(part.subarray(EXTENSION_HEADER_BYTES));
        extensions.set(guid, parts);
        extensionBytes += part.length;
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

function addNamedExtension(
  blocks: MetadataBlocks,
  extensions: ReadonlyMap<string, Uint8Array[]>,
  cut: boolean,
): void {
  const main = blocks.xmp[0];
  if (main === undefined || extensions.size === 0) return;
  const text = new TextDecoder().decode(main);
  for (const [guid, parts] of extensions) {
    if (!text.includes(guid)) continue;
    if (cut) {
      const message = "The extended XMP packet is larger than 2 MiB and is not read.";
      blocks.notes.push({ code: "xmp-too-large", message });
    } else {
      blocks.xmp.push(joinedBytes(parts));
    }
  }
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
