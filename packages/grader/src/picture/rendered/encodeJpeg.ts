import sharp, { type Exif } from "sharp";
import { DECODER_TURNS } from "../pool/decoderTurns.ts";

/** Pixels to encode, and what the file is to say of them. */
export interface JpegContent {
  readonly width: number;
  readonly height: number;
  /** Codes of 8 bits in sRGB, red, green and blue to a pixel, as stored. */
  readonly samples: Uint8Array;
  /** Exif orientation, 1 to 8. */
  readonly orientation: number;
  readonly exif: Exif;
  /** An XMP packet. */
  readonly xmp: string;
  /** From 1 to 100. */
  readonly quality: number;
}

/** The pixels as a JPEG with the sRGB profile and full colour resolution. */
export async function encodeJpeg(content: JpegContent): Promise<Uint8Array> {
  const { width, height, samples, orientation, exif, xmp, quality } = content;
  const jpeg = sharp(samples, { raw: { width, height, channels: 3 } })
    .withMetadata({ orientation })
    .withExif(exif)
    .withXmp(xmp)
    // Tables of its own make a file up to a tenth smaller, and hold almost four times the picture while they are worked out.
    .jpeg({ quality, chromaSubsampling: "4:4:4", optimiseCoding: false });
  return DECODER_TURNS.beside(() => jpeg.toBuffer());
}
