import { GraderError } from "../../../model/errors.ts";
import type { DecodedPixels } from "../../../picture/decodedPixels.ts";

const OPAQUE = 255;

/**
 * Decodes a WebP by the browser, whose decoder is the one that the command has, with every conversion of colour left out.
 *
 * @throws GraderError `unsupported-format` for transparent pictures, whose codes a canvas does not keep
 */
export async function decodeWebp(file: Uint8Array): Promise<DecodedPixels> {
  const bitmap = await createImageBitmap(new Blob([file as BlobPart], { type: "image/webp" }), {
    colorSpaceConversion: "none",
    premultiplyAlpha: "none",
    imageOrientation: "none" as ImageOrientation,
  });
  const { width, height } = bitmap;
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) throw new Error("No canvas");
  context.drawImage(bitmap, 0, 0);
  bitmap.close();
  const { data } = context.getImageData(0, 0, width, height);
  for (let alpha = 3; alpha < data.length; alpha += 4) {
    if (data[alpha] !== OPAQUE) throw transparent();
  }
  return { width, height, data, channels: 4 };
}

function transparent(): GraderError {
  return new GraderError(
    "unsupported-format",
    "The WebP is transparent in places, which this page does not measure; hand it in all the same, or choose the JPEG from the camera",
  );
}
