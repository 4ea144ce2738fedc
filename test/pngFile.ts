import { crc32, deflateSync } from "node:zlib";

/** A chunk of a PNG with its checksum. */
export function pngChunk(type: string, data: Uint8Array): Buffer {
  const chunk = Buffer.alloc(12 + data.length);
  chunk.writeUInt32BE(data.length, 0);
  chunk.write(type, 4, "latin1");
  chunk.set(data, 8);
  chunk.writeUInt32BE(crc32(chunk.subarray(4, 8 + data.length)), 8 + data.length);
  return chunk;
}

/** What a PNG holds. */
export interface PngContent {
  readonly width: number;
  readonly height: number;
  readonly bits: number;
  /** As IHDR has it: 0 grey, 2 RGB, 3 palette, 4 grey and alpha, 6 RGB and alpha. */
  readonly colourType: number;
  /** The samples of a pixel, in order. */
  readonly pixel: (x: number, y: number) => readonly number[];
  /** Chunks between header and pixels. */
  readonly chunks?: readonly Uint8Array[];
}

/** A PNG, written bit by bit: encoders choose depth and colour type of their own. */
export function pngFile({
  width,
  height,
  bits,
  colourType,
  pixel,
  chunks = [],
}: PngContent): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header[8] = bits;
  header[9] = colourType;
  const rows = Array.from({ length: height }, (_, y) => {
    const samples = Array.from({ length: width }, (_, x) => pixel(x, y)).flat();
    const text = samples.map((sample) => sample.toString(2).padStart(bits, "0")).join("");
    const bytes = text.match(/.{1,8}/g) ?? [];
    return Buffer.from([0, ...bytes.map((byte) => Number.parseInt(byte.padEnd(8, "0"), 2))]);
  });
  return Buffer.concat([
    Buffer.from("\x89PNG\r\n\x1a\n", "latin1"),
    pngChunk("IHDR", header),
    ...chunks,
    pngChunk("IDAT", deflateSync(Buffer.concat(rows))),
    pngChunk("IEND", new Uint8Array()),
  ]);
}
