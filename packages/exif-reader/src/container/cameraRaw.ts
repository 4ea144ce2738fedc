import { type ByteSource, sliceSource } from "../source/byteSource.ts";
import { latin1, viewOf } from "../source/bytes.ts";
import { readIfd, tiffHeader } from "../tiff/ifd.ts";
import { jpegBlocks } from "./jpeg.ts";
import { type MetadataBlocks, malformedContainer, noBlocks } from "./metadataBlocks.ts";

/** Finds the metadata of a Fujifilm raw file: that of the JPEG it embeds, which is the same exposure. */
export async function rafBlocks(file: ByteSource): Promise<MetadataBlocks> {
  const head = await file.read(0, 92);
  if (head.length === 92) {
    const view = viewOf(head);
    const jpeg = sliceSource(file, view.getUint32(84), view.getUint32(88));
    const start = await jpeg.read(0, 2);
    if (start[0] === 0xff && start[1] === 0xd8) return jpegBlocks(jpeg);
  }
  return { ...noBlocks(), notes: [malformedContainer("raw file's header")] };
}

/** Panasonic's tag for the JPEG that its raw files embed; only there the Exif block is complete. */
const TAG_PANASONIC_JPEG = 0x002e;

/** Finds the metadata of a Panasonic raw file: its own directories, then those of the JPEG it embeds. */
export async function rw2Blocks(file: ByteSource): Promise<MetadataBlocks> {
  const own = { source: file, root: "ifd0" } as const;
  const header = tiffHeader(await file.read(0, 16));
  const entries = header === null ? [] : (await readIfd(file, header.firstIfd, header)).entries;
  const entry = entries.find(({ tag }) => tag === TAG_PANASONIC_JPEG);
  if (entry === undefined) return { ...noBlocks(), tiff: [own] };
  const { tiff, ...rest } = await jpegBlocks(sliceSource(file, entry.valueAt, entry.byteLength));
  return { ...rest, tiff: [own, ...tiff] };
}

/** A Minolta raw file has four or five blocks before its pixels. */
const MOST_BLOCKS = 16;

/** Finds the metadata of a Minolta raw file: a TIFF structure in its `TTW` block. */
export async function mrwBlocks(file: ByteSource): Promise<MetadataBlocks> {
  const blocks = noBlocks();
  let at = 8;
  for (let seen = 0; seen < MOST_BLOCKS && at + 8 <= file.size; seen++) {
    const head = await file.read(at, 8);
    const length = viewOf(head).getUint32(4);
    if (latin1(head, 1, 4) === "TTW") {
      blocks.tiff.push({ source: sliceSource(file, at + 8, length), root: "ifd0" });
      return blocks;
    }
    at += 8 + length;
  }
  blocks.notes.push(malformedContainer("raw file's header"));
  return blocks;
}
