import type { MetadataBlocks, TiffBlock } from "../container/metadataBlocks.ts";
import { MOST_XMP_BYTES } from "../container/metadataBlocks.ts";
import type { ExifNote } from "../exposureRecord.ts";
import { type Fraction, type Recorded, recordedText, type TagSource } from "../tag/tagSource.ts";
import { NUMBER_TAGS, type NumberTag, TEXT_TAGS, type TextTag } from "../tag/tags.ts";
import { decodeText, hasUtf16Mark } from "../text/decodeText.ts";
import { printableText } from "../text/printableText.ts";
import {
  type IfdEntry,
  readIfd,
  readValue,
  type TiffHeader,
  type TiffValue,
  tiffHeader,
} from "./ifd.ts";

const TAG_NEW_SUBFILE_TYPE = 0x00fe;
const TAG_XMP = 0x02bc;
const TAG_EXIF_IFD = 0x8769;
const TAG_GPS_IFD = 0x8825;
const TAG_GPS_LATITUDE = 2;
const TAG_GPS_LONGITUDE = 4;

const PLACES = [...Object.values(NUMBER_TAGS), ...Object.values(TEXT_TAGS)];
/** IFD0 may hold Exif tags too (TIFF/EP); the Exif directory holds only its own. */
const WANTED = {
  ifd0: new Set(PLACES.map((place) => place.code)),
  exif: new Set(PLACES.filter((place) => place.ifd === "exif").map((place) => place.code)),
} as const;

const SIZE_TAGS: ReadonlySet<number> = new Set([
  NUMBER_TAGS.ImageWidth.code,
  NUMBER_TAGS.ImageLength.code,
]);

/** Make, model and software are read up to here; `printableText` shortens them further. */
const MOST_TEXT_BYTES = 1024;

interface ExifTags {
  readonly ifd0: Map<number, TiffValue>;
  readonly exif: Map<number, TiffValue>;
  readonly xmp: Uint8Array[];
  position: boolean | undefined;
  malformed: boolean;
}

/**
 * Reads the tags of the main picture: IFD0, its Exif directory, and whether its GPS directory
 * holds a position. Thumbnails (IFD1), further pictures (SubIFDs) and maker notes are never read.
 *
 * Where there are several blocks, the first that holds a tag counts.
 */
export async function readExifTags(
  tiff: MetadataBlocks["tiff"],
): Promise<{ source: TagSource; xmp: Uint8Array[]; notes: ExifNote[] }> {
  const tags: ExifTags = {
    ifd0: new Map(),
    exif: new Map(),
    xmp: [],
    position: undefined,
    malformed: false,
  };
  for (const block of tiff) await readBlock(block, tags);
  const message =
    "Part of the Exif block is cut off or contradicts itself; the rest of it is used.";
  const notes: ExifNote[] = tags.malformed ? [{ code: "exif-malformed", message }] : [];
  return { source: exifSource(tags), xmp: tags.xmp, notes };
}

async function readBlock({ source: block, root }: TiffBlock, tags: ExifTags): Promise<void> {
  const header = tiffHeader(await block.read(0, 16));
  if (header === null) {
    tags.malformed = true;
    return;
  }
  const directory = async (at: number): Promise<IfdEntry[]> => {
    const { entries, complete } = await readIfd(block, at, header);
    if (!complete) tags.malformed = true;
    return entries;
  };
  const keep = async (entries: IfdEntry[], ifd: "ifd0" | "exif"): Promise<void> => {
    for (const entry of entries) {
      if (!WANTED[ifd].has(entry.tag) || tags[ifd].has(entry.tag)) continue;
      const value = await readValue(block, entry, header, MOST_TEXT_BYTES);
      tags[ifd].set(entry.tag, value);
      if (typeof value === "string") tags.malformed = true;
    }
  };
  const notePosition = (entries: IfdEntry[]): void => {
    const has = (tag: number) => entries.some((entry) => entry.tag === tag && entry.count > 0);
    tags.position ||= has(TAG_GPS_LATITUDE) && has(TAG_GPS_LONGITUDE);
  };

  const first = await directory(header.firstIfd);
  if (root === "gps") return notePosition(first);
  if (root === "exif") return keep(first, "exif");

  const number = async (tag: number): Promise<number | undefined> => {
    const entry = first.find((candidate) => candidate.tag === tag);
    return entry && firstNumber(await readValue(block, entry, header, 0));
  };
  const isReduced = ((await number(TAG_NEW_SUBFILE_TYPE)) ?? 0) % 2 === 1;
  // The size of a reduced picture, as raw files put it into IFD0, is not the picture's.
  await keep(isReduced ? first.filter((entry) => !SIZE_TAGS.has(entry.tag)) : first, "ifd0");

  const exifAt = await number(TAG_EXIF_IFD);
  if (exifAt !== undefined) await keep(await directory(exifAt), "exif");
  const gpsAt = await number(TAG_GPS_IFD);
  if (gpsAt !== undefined) notePosition(await directory(gpsAt));

  const packet = first.find((entry) => entry.tag === TAG_XMP);
  if (packet !== undefined) await keepPacket(block, packet, header, tags);
}

async function keepPacket(
  block: TiffBlock["source"],
  packet: IfdEntry,
  header: TiffHeader,
  tags: ExifTags,
): Promise<void> {
  const value = await readValue(block, packet, header, MOST_XMP_BYTES);
  if (typeof value === "string") tags.malformed = true;
  else if ("bytes" in value) tags.xmp.push(value.bytes);
}

function firstNumber(value: TiffValue): number | undefined {
  return typeof value === "object" && "numbers" in value ? value.numbers[0]?.numerator : undefined;
}

function exifSource(tags: ExifTags): TagSource {
  const tagValue = (place: { code: number; ifd: "ifd0" | "exif" }) =>
    tags[place.ifd].get(place.code) ?? tags.ifd0.get(place.code);
  return {
    numbers(tag: NumberTag): Recorded<readonly Fraction[]> | undefined {
      const value = tagValue(NUMBER_TAGS[tag]);
      if (value === undefined) return undefined;
      const from = `Exif ${tag}`;
      if (value === "beyond-end") return { from, fault: "beyond-end" };
      if (value === "unknown-type") return { from, fault: "wrong-type" };
      if ("bytes" in value) return { from, fault: "wrong-type", found: shown(value.bytes) };
      if (value.numbers.length === 0) return { from, fault: "wrong-type" };
      return { from, value: value.numbers };
    },
    text(tag: TextTag): Recorded<string> | undefined {
      const value = tagValue(TEXT_TAGS[tag]);
      if (value === undefined) return undefined;
      const from = `Exif ${tag}`;
      if (value === "beyond-end") return { from, fault: "beyond-end" };
      if (value === "unknown-type") return { from, fault: "wrong-type" };
      if ("numbers" in value) {
        return { from, fault: "wrong-type", found: recordedText(value.numbers) };
      }
      const text = shown(value.bytes);
      return text === "" ? { from, fault: "blank" } : { from, value: text };
    },
    position() {
      if (tags.position === undefined) return undefined;
      return { from: "Exif GPS", present: tags.position };
    },
    // Exif has no keywords, and the one region it has is a tag of numbers.
    keywords: () => undefined,
    regions: () => undefined,
  };
}

/** Text up to its NUL; what follows it may be left over from another value. */
function shown(bytes: Uint8Array): string {
  const end = hasUtf16Mark(bytes) ? -1 : bytes.indexOf(0);
  return printableText(decodeText(end < 0 ? bytes : bytes.subarray(0, end)));
}
