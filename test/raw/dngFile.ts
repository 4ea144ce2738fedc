import { losslessJpeg } from "./losslessJpeg.ts";

/** What a DNG made for a test holds. Everything that is left out is left out of the file too. */
export interface DngContent {
  /** Samples across and down of the whole sensor, borders included. */
  readonly width: number;
  readonly height: number;
  /** Stored samples, row by row, `planes` to a pixel. */
  readonly samples: Uint16Array;
  /** 1 for a mosaic or a monochrome sensor, 3 for a picture that is already demosaiced. @default 1 */
  readonly planes?: 1 | 3;
  /** Colour of each site of the repeat pattern, 0 red, 1 green, 2 blue; null for monochrome. @default red first */
  readonly cfa?: readonly number[] | null;
  /** Sites down and across of the repeat pattern. @default [2, 2] */
  readonly cfaRepeat?: readonly [number, number];
  /** Bits of a stored sample: 8 or 16. @default 16 */
  readonly bits?: 8 | 16;
  /** @default "none" */
  readonly compression?: "none" | "lossless-jpeg" | number;
  /** Top, left, bottom, right. */
  readonly activeArea?: readonly [number, number, number, number];
  /** Masked rectangles: top, left, bottom, right, each. */
  readonly maskedAreas?: readonly number[];
  readonly black?: readonly number[];
  /** Rows and columns of the black pattern. */
  readonly blackRepeat?: readonly [number, number];
  readonly blackDeltaH?: readonly number[];
  readonly blackDeltaV?: readonly number[];
  readonly white?: readonly number[];
  readonly linearisationTable?: readonly number[];
  /** Origin (across, down) and size (across, down) of the picture within the active area. */
  readonly crop?: { origin: readonly [number, number]; size: readonly [number, number] };
  readonly asShotNeutral?: readonly number[];
  readonly baselineExposure?: number;
  readonly noiseProfile?: readonly number[];
  /** XYZ to camera, row by row. @default XYZ to linear sRGB */
  readonly colourMatrix?: readonly number[];
  /** Exif orientation. @default 1 */
  readonly orientation?: number;
  /** Put the raw picture into a sub-directory, behind a small preview that has other values. @default false */
  readonly behindPreview?: boolean;
  /** Length of the pixel data that the directory states. @default what it is */
  readonly claimedBytes?: number;
  /** @default little-endian */
  readonly bigEndian?: boolean;
}

/** Linear sRGB from XYZ, D65 [SRGB]. */
export const SRGB_FROM_XYZ: readonly number[] = [
  3.2404542, -1.5371385, -0.4985314, -0.969266, 1.8760108, 0.041556, 0.0556434, -0.2040259,
  1.0572252,
];

type Kind = "byte" | "ascii" | "short" | "long" | "rational" | "srational" | "double";
type Entry = readonly [tag: number, kind: Kind, values: readonly number[]];

const KINDS: Record<Kind, { code: number; size: number }> = {
  byte: { code: 1, size: 1 },
  ascii: { code: 2, size: 1 },
  short: { code: 3, size: 2 },
  long: { code: 4, size: 4 },
  rational: { code: 5, size: 8 },
  srational: { code: 10, size: 8 },
  double: { code: 12, size: 8 },
};

const DENOMINATOR = 1_000_000;

/** Bytes of a DNG with exactly this content: the sensor values of a test are known because the test wrote them. */
export function dngFile(content: DngContent): Uint8Array {
  const pixels = pixelBytes(content);
  const camera = cameraEntries(content);
  const writer = new TiffWriter(content.bigEndian ?? false);
  if (content.behindPreview) {
    const preview = new Uint8Array(8 * 6 * 3).fill(200);
    const raw = writer.sub(rawEntries(content), pixels, content.claimedBytes);
    writer.main([...previewEntries(), ...camera, [330, "long", [raw]]], preview);
  } else {
    writer.main([...rawEntries(content), ...camera], pixels, content.claimedBytes);
  }
  return writer.bytes();
}

function pixelBytes({ samples, width, height, bits = 16, compression, bigEndian }: DngContent) {
  if (compression === "lossless-jpeg") return losslessJpeg(samples, width, height);
  if (bits === 8) return Uint8Array.from(samples);
  const bytes = new Uint8Array(2 * samples.length);
  const view = new DataView(bytes.buffer);
  for (const [i, sample] of samples.entries()) view.setUint16(2 * i, sample, !bigEndian);
  return bytes;
}

function rawEntries(content: DngContent): Entry[] {
  const { width, height, planes = 1, cfa = [0, 1, 1, 2], cfaRepeat = [2, 2], bits = 16 } = content;
  const { compression = "none", crop } = content;
  const mosaic = planes === 1 && cfa !== null;
  const compressionCode = { none: 1, "lossless-jpeg": 7 }[compression] ?? Number(compression);
  const entries: Entry[] = [
    [254, "long", [0]],
    [256, "long", [width]],
    [257, "long", [height]],
    [258, "short", Array(planes).fill(bits)],
    [259, "short", [compressionCode]],
    [262, "short", [mosaic ? 32803 : 34892]],
    [277, "short", [planes]],
    [278, "long", [height]],
    [284, "short", [1]],
  ];
  if (mosaic) entries.push([33421, "short", cfaRepeat], [33422, "byte", cfa]);
  const optional: [number, Kind, readonly number[] | undefined][] = [
    [50712, "short", content.linearisationTable],
    [50713, "short", content.blackRepeat],
    [50714, "rational", content.black],
    [50715, "srational", content.blackDeltaH],
    [50716, "srational", content.blackDeltaV],
    [50717, "long", content.white],
    [50719, "rational", crop?.origin],
    [50720, "rational", crop?.size],
    [50829, "long", content.activeArea],
    [50830, "long", content.maskedAreas],
    [51041, "double", content.noiseProfile],
  ];
  for (const [tag, kind, values] of optional) if (values) entries.push([tag, kind, values]);
  return entries;
}

function cameraEntries(content: DngContent): Entry[] {
  const entries: Entry[] = [
    [271, "ascii", text("Tonefall")],
    [272, "ascii", text("Test sensor")],
    [274, "short", [content.orientation ?? 1]],
    [50706, "byte", [1, 4, 0, 0]],
    [50707, "byte", [1, 1, 0, 0]],
    [50708, "ascii", text("Tonefall Test sensor")],
    [50721, "srational", content.colourMatrix ?? SRGB_FROM_XYZ],
    [50778, "short", [21]],
  ];
  if (content.asShotNeutral) entries.push([50728, "rational", content.asShotNeutral]);
  if (content.baselineExposure !== undefined) {
    entries.push([50730, "srational", [content.baselineExposure]]);
  }
  return entries;
}

function previewEntries(): Entry[] {
  return [
    [254, "long", [1]],
    [256, "long", [8]],
    [257, "long", [6]],
    [258, "short", [8, 8, 8]],
    [259, "short", [1]],
    [262, "short", [2]],
    [277, "short", [3]],
    [278, "long", [6]],
  ];
}

function text(value: string): number[] {
  return [...value, "\0"].map((character) => character.charCodeAt(0));
}

/** A TIFF file of one directory, or of one with a sub-directory. */
class TiffWriter {
  readonly #little: boolean;
  readonly #parts: Uint8Array[] = [];
  #length = 8;

  constructor(bigEndian: boolean) {
    this.#little = !bigEndian;
  }

  /** Writes the main directory, and the header that points at it. */
  main(entries: Entry[], pixels: Uint8Array, claimedBytes?: number): void {
    const first = this.sub(entries, pixels, claimedBytes);
    const header = new DataView(new ArrayBuffer(8));
    header.setUint16(0, this.#little ? 0x4949 : 0x4d4d);
    header.setUint16(2, 42, this.#little);
    header.setUint32(4, first, this.#little);
    this.#parts.unshift(new Uint8Array(header.buffer));
  }

  bytes(): Uint8Array {
    return new Uint8Array(Buffer.concat(this.#parts));
  }

  /** Writes a directory, then what it points to, pixels last (so that a cut file loses pixels first); gives its offset. */
  sub(entries: Entry[], pixels: Uint8Array, claimedBytes = pixels.length): number {
    const all: Entry[] = [...entries, [273, "long", [0]], [279, "long", [claimedBytes]]];
    all.sort(([a], [b]) => a - b);
    const start = this.#length;
    const head = new DataView(new ArrayBuffer(2 + 12 * all.length + 4));
    head.setUint16(0, all.length, this.#little);
    const values = all.map(([tag, kind, numbers]) => ({
      tag,
      kind,
      numbers,
      data: this.#encode(kind, numbers),
    }));
    let next = start + head.byteLength;
    const pixelOffset = values.reduce(
      (end, { data }) => end + (data.length > 4 ? even(data.length) : 0),
      next,
    );
    const tail: Uint8Array[] = [];
    for (const [i, { tag, kind, numbers, data }] of values.entries()) {
      const at = 2 + 12 * i;
      head.setUint16(at, tag, this.#little);
      head.setUint16(at + 2, KINDS[kind].code, this.#little);
      head.setUint32(at + 4, numbers.length, this.#little);
      if (tag === 273) head.setUint32(at + 8, pixelOffset, this.#little);
      else if (data.length <= 4) new Uint8Array(head.buffer).set(data, at + 8);
      else {
        head.setUint32(at + 8, next, this.#little);
        const padded = new Uint8Array(even(data.length));
        padded.set(data);
        tail.push(padded);
        next += padded.length;
      }
    }
    const padded = new Uint8Array(even(pixels.length));
    padded.set(pixels);
    this.#parts.push(new Uint8Array(head.buffer), ...tail, padded);
    this.#length = pixelOffset + padded.length;
    return start;
  }

  #encode(kind: Kind, values: readonly number[]): Uint8Array {
    const view = new DataView(new ArrayBuffer(KINDS[kind].size * values.length));
    for (const [i, value] of values.entries()) {
      const at = KINDS[kind].size * i;
      if (kind === "short") view.setUint16(at, value, this.#little);
      else if (kind === "long") view.setUint32(at, value, this.#little);
      else if (kind === "double") view.setFloat64(at, value, this.#little);
      else if (kind === "rational" || kind === "srational") {
        // Whole numbers keep a denominator of 1: some readers expect levels so.
        const denominator = Number.isInteger(value) ? 1 : DENOMINATOR;
        view.setInt32(at, Math.round(value * denominator), this.#little);
        view.setInt32(at + 4, denominator, this.#little);
      } else view.setUint8(at, value);
    }
    return new Uint8Array(view.buffer);
  }
}

function even(length: number): number {
  return length + (length % 2);
}
