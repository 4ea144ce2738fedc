import { type ByteSource, memorySource, sliceSource } from "../source/byteSource.ts";
import { hexOf, joinedBytes, startsWith, viewOf } from "../source/bytes.ts";
import { type Box, boxesIn, topLevelBoxes } from "./isobmffBoxes.ts";
import { type ItemExtent, type ItemTable, readItemTable } from "./isobmffItems.ts";
import {
  exifBlock,
  type MetadataBlocks,
  MOST_EXIF_BYTES,
  MOST_XMP_BYTES,
  malformedContainer,
  noBlocks,
} from "./metadataBlocks.ts";

/** Item tables of pictures with hundreds of tiles stay far below this. */
const MOST_META_BYTES = 2 ** 22;

/** Canon raw: directories as TIFF structures of their own, in a box of this kind. */
const CANON_UUID = "85c0b687820f11e08111f4ce462b6a48";
const XMP_UUID = "be7acfcb97a942e89c71999491e3afac";
const CANON_DIRECTORIES = { CMT1: "ifd0", CMT2: "exif", CMT4: "gps" } as const;

/**
 * Finds the Exif block and the XMP packet of an AVIF or HEIF picture (items of its `meta` box),
 * or of a Canon CR3 raw file (boxes of its `moov`).
 *
 * Notes where the container itself rotates or mirrors the primary picture.
 *
 * @see [BMFF, the meta box]; [HEIF, irot, imir and Exif items]
 */
export async function isobmffBlocks(file: ByteSource): Promise<MetadataBlocks> {
  const blocks = noBlocks();
  try {
    for (const box of await topLevelBoxes(file)) {
      const wanted = Math.min(box.end - box.start, MOST_META_BYTES);
      if (box.type === "meta") {
        await addItems(blocks, file, await file.read(box.start, wanted));
      } else if (box.type === "moov") {
        addCanonDirectories(blocks, await file.read(box.start, wanted));
      } else if (box.type === "uuid" && wanted <= MOST_XMP_BYTES) {
        if (uuidOf(await file.read(box.start, 16)) !== XMP_UUID) continue;
        blocks.xmp.push((await file.read(box.start, wanted)).subarray(16));
      }
    }
  } catch (error) {
    if (!(error instanceof RangeError)) throw error; // a number claimed beyond the end of its box
    blocks.notes.push(malformedContainer("file's table of items"));
  }
  return blocks;
}

async function addItems(blocks: MetadataBlocks, file: ByteSource, meta: Uint8Array): Promise<void> {
  const table = readItemTable(meta);
  if (table.rotates) {
    const message =
      "The container itself rotates or mirrors the picture; the Exif orientation was ignored.";
    blocks.notes.push({ code: "container-rotates", message });
  }
  const exifItem = chosenItem(table, "exif");
  if (exifItem !== undefined) {
    const bytes = await itemBytes(file, meta, table, exifItem, MOST_EXIF_BYTES);
    // Programs that strip metadata leave an item of no bytes.
    if (bytes !== null && bytes.length > 0) blocks.tiff.push(exifBlock(withoutOffset(bytes)));
  }
  const xmpItem = chosenItem(table, "xmp");
  if (xmpItem !== undefined) {
    const bytes = await itemBytes(file, meta, table, xmpItem, MOST_XMP_BYTES);
    if (bytes !== null) blocks.xmp.push(bytes);
  }
}

/** The item of this kind that describes the primary picture; the first one where none says so. */
function chosenItem(table: ItemTable, kind: "exif" | "xmp"): number | undefined {
  const items = table.items.filter((item) => item.kind === kind).map((item) => item.id);
  const describesPrimary = (id: number) => table.describes.get(id)?.includes(table.primary);
  return items.find(describesPrimary) ?? items[0];
}

/** The bytes of an item, or null where they are too many or stored in another file. */
async function itemBytes(
  file: ByteSource,
  meta: Uint8Array,
  table: ItemTable,
  id: number,
  mostBytes: number,
): Promise<Uint8Array | null> {
  const extents = table.extents.get(id) ?? [];
  const total = extents.reduce((sum, extent) => sum + extent.length, 0);
  if (extents.length === 0 || total > mostBytes) return null;
  const parts = extents.map(async ({ within, offset, length }: ItemExtent) => {
    const isWhole = length === 0 && extents.length === 1;
    if (within === "file") return file.read(offset, isWhole ? mostBytes : length);
    return sliceSource(memorySource(meta), table.dataAt + offset, length).read(0, length);
  });
  return joinedBytes(await Promise.all(parts));
}

/** An Exif item starts with the distance from the end of this number to the TIFF structure. */
function withoutOffset(bytes: Uint8Array): Uint8Array {
  if (bytes.length < 4) return bytes;
  const tiffAt = 4 + viewOf(bytes).getUint32(0);
  const isTiff = startsWith(bytes, "II", tiffAt) || startsWith(bytes, "MM", tiffAt);
  return bytes.subarray(isTiff ? tiffAt : 4); // some writers leave the distance 0 before "Exif\0\0"
}

function addCanonDirectories(blocks: MetadataBlocks, moov: Uint8Array): void {
  const isCanon = (box: Box) =>
    box.type === "uuid" && uuidOf(moov.subarray(box.start, box.end)) === CANON_UUID;
  const canon = boxesIn(moov, 0, moov.length).find(isCanon);
  if (canon === undefined) return;
  for (const { type, start, end } of boxesIn(moov, canon.start + 16, canon.end)) {
    if (!isCanonDirectory(type)) continue;
    const source = memorySource(moov.subarray(start, end));
    blocks.tiff.push({ source, root: CANON_DIRECTORIES[type] });
  }
}

function isCanonDirectory(type: string): type is keyof typeof CANON_DIRECTORIES {
  return Object.hasOwn(CANON_DIRECTORIES, type);
}

function uuidOf(bytes: Uint8Array): string {
  return hexOf(bytes.subarray(0, 16));
}
