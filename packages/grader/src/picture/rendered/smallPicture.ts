import sharp from "sharp";
import { DECODER_TURNS } from "../pool/decoderTurns.ts";
import { decoderInput } from "../source/decoderInput.ts";

/** A picture at a size to look at: upright, in sRGB, without metadata. */
export interface SmallPixels {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 2 | 3 | 4;
  /** Interleaved 8-bit codes. */
  readonly data: Uint8Array;
}

/** A JPEG file in memory. */
export interface SmallJpeg {
  readonly width: number;
  readonly height: number;
  readonly bytes: Uint8Array;
}

/** Quality of the JPEGs: a region's edge stays clean, and a page stays small. Our judgement. */
const QUALITY = 80;

/**
 * A rendered picture, small enough to look at; transparency lies on neutral grey.
 *
 * @param input - the picture file: a path, or bytes
 * @param longSide - the most pixels of its longer side; a smaller picture stays as it is
 * @returns null where the decoder of small pictures cannot read the file, HEIC for one
 */
export async function smallPicture(
  input: string | Uint8Array,
  longSide: number,
): Promise<SmallPixels | null> {
  try {
    const file = await decoderInput(input);
    try {
      const small = sharp(file.input, { failOn: "error" })
        .autoOrient()
        .resize(within(longSide))
        .flatten({ background: "#777" })
        .toColourspace("srgb")
        .raw();
      const { data, info } = await DECODER_TURNS.beside(() =>
        small.toBuffer({ resolveWithObject: true }),
      );
      return { width: info.width, height: info.height, channels: info.channels, data };
    } finally {
      file.done();
    }
  } catch {
    return null;
  }
}

/**
 * Encodes pixels as a JPEG without metadata.
 *
 * @param longSide - the most pixels of its longer side
 */
export async function smallJpeg(
  { data, width, height, channels }: SmallPixels,
  longSide: number,
): Promise<SmallJpeg> {
  const jpeg = sharp(data, { raw: { width, height, channels } })
    .resize(within(longSide))
    .jpeg({ quality: QUALITY, mozjpeg: true });
  const encoded = await DECODER_TURNS.beside(() => jpeg.toBuffer({ resolveWithObject: true }));
  return { width: encoded.info.width, height: encoded.info.height, bytes: encoded.data };
}

function within(longSide: number): {
  width: number;
  height: number;
  fit: "inside";
  withoutEnlargement: true;
} {
  return { width: longSide, height: longSide, fit: "inside", withoutEnlargement: true };
}
