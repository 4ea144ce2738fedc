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
 * The samples of a JPEG and of a WebP, which is to be opaque, are packed in place: alpha is dropped, and a grey JPEG keeps one
 * sample to a pixel.
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
  const { width, height, notes = [] } = decoded;
  const { samples, stride } = packed(decoded, storedChannels(file, record));
  const stated = statedMeaning({
    format: record.format,
    model: stride < 3 ? "grey" : "rgb",
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
    stride,
    bits,
    fullScale: exp2(8 * samples.BYTES_PER_ELEMENT) - 1,
    orientation: record.orientation.value ?? 1,
    meaning: stated.meaning,
    notes: [...stated.notes, ...notes],
  });
}

/**
 * Samples to a pixel that the file itself has, where decoders give others; null where they are kept as given.
 *
 * @throws {@link GraderError} `unsupported-colour` for a JPEG of inks
 */
export function storedChannels(file: Uint8Array, { format }: ExposureRecord): number | null {
  const components = format === "jpeg" ? jpegComponents(file) : null;
  if (components !== null && components !== 1 && components !== 3) throw needsEngine("CMYK");
  // Its decoders give alpha to every picture.
  return format === "webp" ? 3 : components;
}

function packed(
  { width, height, data, channels = 4 }: DecodedPixels,
  components: number | null,
): { readonly samples: Uint8Array | Uint16Array; readonly stride: number } {
  const samples = data instanceof Uint8ClampedArray ? asBytes(data) : data;
  const keeps = components ?? channels;
  if (keeps === channels) return { samples, stride: channels };
  const pixels = width * height;
  if (keeps === 3) {
    for (let i = 0, to = 0, from = 0; i < pixels; i++, to += 3, from += channels) {
      samples[to] = samples[from] as number;
      samples[to + 1] = samples[from + 1] as number;
      samples[to + 2] = samples[from + 2] as number;
    }
  } else
    for (let i = 0, from = 0; i < pixels; i++, from += channels)
      samples[i] = samples[from] as number;
  return { samples: samples.subarray(0, keeps * pixels), stride: keeps };
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
