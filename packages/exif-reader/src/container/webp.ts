import type { ByteSource } from "../source/byteSource.ts";
import { latin1, viewOf } from "../source/bytes.ts";
import {
  exifBlock,
  type MetadataBlocks,
  MOST_EXIF_BYTES,
  MOST_XMP_BYTES,
  malformedContainer,
  noBlocks,
} from "./metadataBlocks.ts";

const HEADER_BYTES = 12;
const MOST_CHUNKS = 65_536;

/**
 * Finds the Exif block and the XMP packet of a WebP. The chunks are looked for themselves: the
 * flags that announce them are wrong in enough files.
 *
 * @see [WEBP, metadata chunks]
 */
export async function webpBlocks(file: ByteSource): Promise<MetadataBlocks> {
  const blocks = noBlocks();
  const riffBytes = viewOf(await file.read(4, 4)).getUint32(0, true);
  const end = Math.min(file.size, 8 + riffBytes);
  let at = HEADER_BYTES;
  for (let chunks = 0; at + 8 <= end && chunks < MOST_CHUNKS; chunks++) {
    const head = await file.read(at, 8);
    const type = latin1(head, 0, 4);
    const length = viewOf(head).getUint32(4, true);
    if (type === "EXIF" && length <= MOST_EXIF_BYTES) {
      blocks.tiff.push(exifBlock(await file.read(at + 8, length)));
    } else if (type === "XMP " && length <= MOST_XMP_BYTES) {
      blocks.xmp.push(await file.read(at + 8, length));
    }
    at += 8 + length + (length % 2);
  }
  if (at > file.size + 1) blocks.notes.push(malformedContainer("WebP"));
  return blocks;
}
