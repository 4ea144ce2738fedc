import type { TiffDirectory } from "@tonefall/exif-reader";

/** How much of a raw file's pixel data is there, by the file's own account. */
export interface PixelExtent {
  /** Bytes that the file says its raw picture has. */
  readonly claimedBytes: number;
  /** How many of them lie inside the file. */
  readonly presentBytes: number;
}

/** A file with less than this share of its pixel data has headers only. */
const HEADER_ONLY_SHARE = 0.01;

/** Lossless coding of sensor noise takes at least a bit a sample: with fewer bits there is no picture. */
const LEAST_BITS_PER_SAMPLE = 1;

/**
 * What a file's own byte counts say of its pixels. A decoder may return a full-size array from a file that was cut short:
 * only the counts show it.
 *
 * @param samples - sensor samples that the picture needs; null when not known
 * @param fileBytes - length of the file
 */
export function pixelsMissing(
  extent: PixelExtent | null,
  samples: number | null,
  fileBytes: number,
): "none" | "some" | "all" {
  const leastBytes = ((samples ?? 0) * LEAST_BITS_PER_SAMPLE) / 8;
  const { claimedBytes, presentBytes } = extent ?? {
    claimedBytes: fileBytes,
    presentBytes: fileBytes,
  };
  if (presentBytes < HEADER_ONLY_SHARE * claimedBytes || claimedBytes < leastBytes) return "all";
  return presentBytes < claimedBytes ? "some" : "none";
}

/**
 * Bytes of the raw picture that a file claims and holds.
 *
 * @param bytes - the whole file
 * @param directories - its TIFF directories, empty when it is no TIFF
 * @returns null for a container whose pixel data cannot be located
 */
export function pixelExtent(
  bytes: Uint8Array,
  directories: readonly TiffDirectory[],
): PixelExtent | null {
  if (bytes.length < 32) return null;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const starts = (text: string, at = 0): boolean =>
    [...text].every((character, i) => bytes[at + i] === character.charCodeAt(0));

  if (starts("FUJIFILMCCD-RAW")) return run(view, view.getUint32(100), view.getUint32(104));
  if (starts("\0MRM")) return minoltaExtent(view);
  if (starts("FOVb")) return foveonExtent(view);
  if (starts("HEAPCCDR", 6)) return heapExtent(view);
  if (starts("ftyp", 4)) return mediaDataExtent(view);
  return directories.length > 0 ? tiffExtent(view, directories) : null;
}

/** One run of bytes. */
function run(view: DataView, offset: number, length: number): PixelExtent {
  const present = Math.min(length, Math.max(0, view.byteLength - offset));
  return { claimedBytes: length, presentBytes: present };
}

/** Nothing of it is there. */
const ABSENT: PixelExtent = { claimedBytes: 1, presentBytes: 0 };

function tiffExtent(view: DataView, directories: readonly TiffDirectory[]): PixelExtent | null {
  const panasonic = directories[0]?.numbers(0x0118)?.[0];
  if (panasonic !== undefined) return panasonicExtent(view, directories[0] as TiffDirectory);

  const pictures = directories.flatMap((directory) => {
    const offsets = directory.numbers(324) ?? directory.numbers(273);
    const lengths = directory.numbers(325) ?? directory.numbers(279);
    if (!offsets || !lengths) return [];
    const parts = lengths.map((length, i) =>
      run(view, offsets[i] ?? Number.POSITIVE_INFINITY, length),
    );
    const [width = 0, height = 0] = [directory.numbers(256)?.[0], directory.numbers(257)?.[0]];
    return {
      isRaw: [32803, 34892].includes(directory.numbers(262)?.[0] ?? 0),
      pixels: width * height,
      claimedBytes: parts.reduce((sum, part) => sum + part.claimedBytes, 0),
      presentBytes: parts.reduce((sum, part) => sum + part.presentBytes, 0),
    };
  });
  const candidates = pictures.some(({ isRaw }) => isRaw)
    ? pictures.filter(({ isRaw }) => isRaw)
    : pictures;
  const [raw] = candidates.sort((a, b) => b.claimedBytes - a.claimedBytes);
  if (!raw) return null;
  // The raw picture is no smaller than any preview; where its own size is not in the directory, a preview's stands in.
  const pixels = Math.max(...pictures.map((picture) => picture.pixels));
  return raw.claimedBytes * 8 < pixels * LEAST_BITS_PER_SAMPLE ? ABSENT : raw;
}

/** RW2 states the uncompressed length; its compressions take at least a byte a sample (from memory: 16 bytes for 14 samples). */
function panasonicExtent(view: DataView, directory: TiffDirectory): PixelExtent {
  const [offset = 0] = directory.numbers(0x0118) ?? [];
  const [width = 0] = directory.numbers(0x0002) ?? [];
  const [height = 0] = directory.numbers(0x0003) ?? [];
  return run(view, offset, width * height);
}

/** Pixels follow the header blocks; the PRD block gives size and bits of a sample. */
function minoltaExtent(view: DataView): PixelExtent {
  const start = 8 + view.getUint32(4);
  const [height, width, bits] = [view.getUint16(24), view.getUint16(26), view.getUint8(32)];
  return run(view, start, (width * height * bits) / 8);
}

/** X3F: the last word points at a directory of sections, some of them pictures (IMAG, IMA2), the raw one the largest. */
function foveonExtent(view: DataView): PixelExtent {
  const directory = view.getUint32(view.byteLength - 4, true);
  if (directory + 12 > view.byteLength || view.getUint32(directory) !== 0x53454364) return ABSENT;
  const count = view.getUint32(directory + 8, true);
  let largest = ABSENT;
  for (let at = directory + 12, i = 0; i < count && at + 12 <= view.byteLength; i++, at += 12) {
    if (view.getUint16(at + 8) !== 0x494d) continue;
    const offset = view.getUint32(at, true);
    const picture = run(view, offset, view.getUint32(at + 4, true));
    if (picture.claimedBytes <= largest.claimedBytes || offset + 24 > view.byteLength) continue;
    const pixels = view.getUint32(offset + 16, true) * view.getUint32(offset + 20, true);
    largest = picture.claimedBytes * 8 < pixels * LEAST_BITS_PER_SAMPLE ? ABSENT : picture;
  }
  return largest;
}

/** CRW: a heap whose directory stands at its end; record 0x2005 holds the pixels. */
function heapExtent(view: DataView): PixelExtent {
  const heap = view.getUint32(2, true);
  const directory = heap + view.getUint32(view.byteLength - 4, true);
  if (directory + 2 > view.byteLength) return ABSENT;
  const count = view.getUint16(directory, true);
  for (let at = directory + 2, i = 0; i < count && at + 10 <= view.byteLength; i++, at += 10) {
    if (view.getUint16(at, true) === 0x2005) {
      return run(view, heap + view.getUint32(at + 6, true), view.getUint32(at + 2, true));
    }
  }
  return ABSENT;
}

/** CR3: pixels lie in the media data box. */
function mediaDataExtent(view: DataView): PixelExtent | null {
  let at = 0;
  while (at + 16 <= view.byteLength) {
    const short = view.getUint32(at);
    const header = short === 1 ? 16 : 8;
    const length = short === 1 ? Number(view.getBigUint64(at + 8)) : short;
    if (view.getUint32(at + 4) === 0x6d646174) {
      return run(view, at + header, (length === 0 ? view.byteLength - at : length) - header);
    }
    if (length < 8) return null;
    at += length;
  }
  return ABSENT;
}
