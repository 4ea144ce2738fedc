import { convertIndexedToRgb, decode } from "fast-png";
import type { DecodedPixels } from "../../../picture/decodedPixels.ts";

/** Decodes a PNG to its stored codes, of 8 or 16 bits; those of fewer bits and of a palette become 8. */
export async function decodePng(file: Uint8Array): Promise<DecodedPixels> {
  const png = decode(file);
  const { width, height, channels, depth } = png;
  if (png.palette) {
    const colours = png.palette[0]?.length === 4 ? 4 : 3;
    return { width, height, data: convertIndexedToRgb(png), channels: colours };
  }
  const data = depth < 8 ? spread(png.data as Uint8Array, width, height, depth) : png.data;
  return {
    width,
    height,
    data: data as Uint8Array | Uint16Array,
    channels: channels as 1 | 2 | 3 | 4,
  };
}

/** Grey of 1, 2 or 4 bits, whose rows begin with a byte each, as 8 bits. */
function spread(packed: Uint8Array, width: number, height: number, depth: number): Uint8Array {
  const rowBytes = Math.ceil((width * depth) / 8);
  const most = (1 << depth) - 1;
  const codes = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const bit = x * depth;
      const byte = packed[y * rowBytes + (bit >> 3)] as number;
      codes[y * width + x] = (((byte >> (8 - depth - (bit & 7))) & most) * 255) / most;
    }
  }
  return codes;
}
