import { gradeFrame } from "@tonefall/grader";
import sharp, { type Sharp } from "sharp";
import { describe, expect, test } from "vitest";
import { STEP_CODES, stepRegion, stepWedge, WEDGE } from "./encodedPictures.ts";
import { METERED_EXIF } from "./pictures.ts";
import { linear } from "./srgb.ts";

/** Real encoders at the settings that cameras and phones use: lossy, chroma at half the size. HEIC has heic.test.ts. */
const ENCODERS: Readonly<Record<string, (wedge: Sharp) => Sharp>> = {
  jpeg: (wedge) => wedge.jpeg({ quality: 90 }),
  "jpeg, progressive": (wedge) => wedge.jpeg({ quality: 90, progressive: true }),
  "avif, 8 bits": (wedge) => wedge.avif({ quality: 80, chromaSubsampling: "4:2:0", effort: 2 }),
  "avif, 10 bits": (wedge) => wedge.avif({ quality: 80, bitdepth: 10, effort: 2 }),
  webp: (wedge) => wedge.webp({ quality: 90 }),
};

/** What an encoder at these settings may do to the code of an even grey: one code, and the rounding of a narrower range. */
const ENCODER_CODES = 1.5;

// Truth: the codes that were encoded, through the sRGB curve [SRGB] written out in srgb.ts.
describe.each(Object.entries(ENCODERS))("a step wedge as %s", (name, encode) => {
  const encoded = (): Promise<Buffer> => encode(stepWedge().withExif(METERED_EXIF)).toBuffer();

  test("has every step fall by its code", async () => {
    const bytes = await encoded();
    for (const [step, code] of STEP_CODES.entries()) {
      const { fall } = await gradeFrame(bytes, { region: stepRegion(step) });
      const [least, most] = [code - ENCODER_CODES, code + ENCODER_CODES].map((at) =>
        Math.log2(linear(at) / 0.18),
      );
      expect(fall?.stops, `code ${code}`).toBeGreaterThanOrEqual(least as number);
      expect(fall?.stops, `code ${code}`).toBeLessThanOrEqual(most as number);
    }
  });

  test("keeps its size and its settings", async () => {
    const { picture, format, exposure } = await gradeFrame(await encoded());
    expect(format).toBe(name.split(",")[0]);
    expect(picture).toMatchObject(WEDGE);
    // As METERED_EXIF has them.
    expect(exposure).toMatchObject({ aperture: { value: 5.6 }, iso: { value: 400 } });
  });
});

describe("a compression that the decoder was built without", () => {
  test.each([
    [50_000, "ZSTD"],
    [34_925, "LZMA"],
  ])("%i is named, with what to do", async (number, name) => {
    const tiff = await sharp({
      create: { width: 8, height: 8, channels: 3, background: "#767676" },
    })
      .tiff({ compression: "none" })
      .toBuffer();
    // The entry of Compression in the first directory: tag 259, SHORT, one value.
    const entry = Buffer.from([0x03, 0x01, 0x03, 0x00, 0x01, 0x00, 0x00, 0x00]);
    const at = tiff.indexOf(entry);
    expect(at).toBeGreaterThan(0);
    tiff.writeUInt16LE(number, at + entry.length);
    expect((await gradeFrame(tiff, {})).failure).toEqual({
      code: "decode-failed",
      message: `The picture is compressed by ${name}, which Tonefall does not read; export it with LZW, ZIP or no compression`,
    });
  });
});
