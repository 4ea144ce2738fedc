import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp, { type Exif, type Sharp } from "sharp";

/** A new empty folder for a test's files. */
export function newFolder(): Promise<string> {
  return mkdtemp(join(tmpdir(), "tonefall test "));
}

/** A picture of one code, 8 bits, as a sharp pipeline to be written in any format. */
export function flat(code: number, width = 60, height = 40): Sharp {
  return sharp({
    create: { width, height, channels: 3, background: { r: code, g: code, b: code } },
  });
}

/** A picture of given pixels, 8 bits, three samples each. */
export function picture(
  width: number,
  height: number,
  codes: (x: number, y: number) => readonly number[],
): Sharp {
  const samples = new Uint8Array(width * height * 3);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) samples.set(codes(x, y), (y * width + x) * 3);
  }
  return sharp(samples, { raw: { width, height, channels: 3 } });
}

/** Exif as sharp writes it; IFD2 is its name for the Exif IFD. */
export const METERED_EXIF: Exif = {
  IFD0: { Make: "Tonefall", Model: "Test camera" },
  IFD2: {
    FNumber: "56/10",
    ExposureTime: "1/125",
    ISOSpeedRatings: "400",
    ExposureBiasValue: "-2/3",
    ExposureProgram: "3",
    ExposureMode: "0",
    MeteringMode: "3",
    Flash: "16",
    FocalLength: "50/1",
  },
};
