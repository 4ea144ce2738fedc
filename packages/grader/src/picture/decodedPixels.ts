import { type ExposureRecord, embeddedProfile } from "@tonefall/exif-reader";
import { exp2 } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import { statedMeaning } from "./colour/statedMeaning.ts";
import type { Frame } from "./frame.ts";
import { jpegComponents } from "./jpegComponents.ts";
import { renderedFrame } from "./renderedFrame.ts";

/**
 * What a decoder from outside gives: the codes as the file stores them, converted by nobody, turned by nobody. A browser's
 * `ImageData` has this shape; its colours may be converted, and then it will not do.
 */
export interface DecodedPixels {
  /** Pixels across, as stored. */
  readonly width: number;
  /** Pixels down, as stored. */
  readonly height: number;
  /** Interleaved codes. */
  readonly data: Uint8Array | Uint8ClampedArray | Uint16Array;
  /**
   * Samples to a pixel: grey, grey and alpha, RGB, or RGB and alpha.
   * @default 4
   */
  readonly channels?: 1 | 2 | 3 | 4;
  /**
   * Bits of a sample in the file.
   * @default 8, or 16 for 16-bit data
   */
  readonly bits?: number;
  /** What a reader of the row should know of the decoding. */
  readonly notes?: readonly Note[];
}

/** Enough of a file to hold what it says of colour before its pixels. */
const HEAD_BYTES = 64 * 1024;

/**
 * The frame of pixels that a decoder from outside gave for a rendered picture.
 *
 * Samples that a JPEG does not have, since decoders give red, green, blue and alpha of each, are passed over where they lie:
 * to move the others together would take as long as to measure them.
 *
 * @param file - the whole file, which says what the codes mean
 * @param gamma - as the brief says; null where it says nothing
 * @throws {@link GraderError} `unsupported-colour` where only a colour engine could say what the codes mean
 */
export function decodedFrame(
  decoded: DecodedPixels,
  file: Uint8Array,
  record: ExposureRecord,
  gamma: number | null,
): Frame {
  const { width, height, data, channels = 4, notes = [] } = decoded;
  const samples = data instanceof Uint8ClampedArray ? asBytes(data) : data;
  const stored = storedChannels(file, record) ?? channels;
  const stated = statedMeaning({
    format: record.format,
    model: stored < 3 ? "grey" : "rgb",
    icc: embeddedProfile(file) ?? undefined,
    head: file.subarray(0, HEAD_BYTES),
    colourSpace: record.colourSpace.value,
    gamma,
  });
  if (!stated.meaning) throw needsEngine(stated.named);
  const bits = decoded.bits ?? 8 * samples.BYTES_PER_ELEMENT;
  return renderedFrame({
    width,
    height,
    samples,
    stride: channels,
    padded: stored < channels,
    bits,
    fullScale: exp2(8 * samples.BYTES_PER_ELEMENT) - 1,
    orientation: record.orientation.value ?? 1,
    meaning: stated.meaning,
    notes: [...stated.notes, ...notes],
  });
}

/**
 * Samples to a pixel that a JPEG itself has, where decoders give others; null for what is no JPEG.
 *
 * @throws {@link GraderError} `unsupported-colour` for a JPEG of inks
 */
export function storedChannels(file: Uint8Array, { format }: ExposureRecord): number | null {
  const components = format === "jpeg" ? jpegComponents(file) : null;
  if (components !== null && components !== 1 && components !== 3) throw needsEngine("CMYK");
  return components;
}

function asBytes({ buffer, byteOffset, byteLength }: Uint8ClampedArray): Uint8Array {
  return new Uint8Array(buffer, byteOffset, byteLength);
}

function needsEngine(named: string): GraderError {
  return new GraderError(
    "unsupported-colour",
    `The picture's colour (${named}) needs a colour engine, which a browser does not have; export it as sRGB, or grade it with the command`,
  );
}
