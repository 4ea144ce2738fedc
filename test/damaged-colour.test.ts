import { readExposure } from "@tonefall/exif-reader";
import { gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { tiffFixture } from "../packages/exif-reader/test/tiffFixture.ts";
import { pngChunk, pngFile } from "./pngFile.ts";

/** A chunk that no longer matches its checksum. */
function damaged(chunk: Buffer): Buffer {
  const copy = Buffer.from(chunk);
  copy.writeUInt8(copy.readUInt8(copy.length - 1) ^ 1, copy.length - 1);
  return copy;
}

const gamma = (exponent: number): Buffer => {
  const data = Buffer.alloc(4);
  data.writeUInt32BE(Math.round(exponent * 100_000));
  return pngChunk("gAMA", data);
};

const grey = (...chunks: Uint8Array[]): Uint8Array =>
  pngFile({ width: 8, height: 8, bits: 8, colourType: 0, pixel: () => [118], chunks });

const codes = (notes: readonly { readonly code: string }[]): string[] =>
  notes.map(({ code }) => code);

describe("a PNG chunk that does not match its checksum", () => {
  test("is ignored, with a note, where it says how codes become light", async () => {
    const plain = await gradeFrame(grey(), {});
    const whole = await gradeFrame(grey(gamma(1)), {});
    const broken = await gradeFrame(grey(damaged(gamma(1))), {});
    expect(Math.abs((whole.fall?.stops ?? 0) - (plain.fall?.stops ?? 0))).toBeGreaterThan(1);
    expect(broken.fall?.stops).toBe(plain.fall?.stops);
    expect(broken.notes).toContainEqual({
      code: "chunk-damaged",
      message: expect.stringContaining("gAMA"),
    });
    expect(codes(whole.notes)).not.toContain("chunk-damaged");
  });

  test("is ignored, with a note, where it holds exposure metadata", async () => {
    const exif = pngChunk("eXIf", tiffFixture({ exif: [[0x829d, "RATIONAL", [[56, 10]]]] }));
    expect((await readExposure(grey(exif))).aperture.value).toBe(5.6);
    const { aperture, notes } = await readExposure(grey(damaged(exif)));
    expect(aperture.value).toBeNull();
    expect(codes(notes)).toContain("chunk-damaged");
  });

  test.each(["IHDR", "IDAT"])("is refused where the picture rests on it: %s", async (type) => {
    const file = Buffer.from(grey());
    const at = file.indexOf(type, 0, "latin1");
    const end = at + 4 + file.readUInt32BE(at - 4);
    file.writeUInt8(file.readUInt8(end) ^ 1, end);
    const { failure, fall } = await gradeFrame(file, {});
    expect(fall).toBeNull();
    expect(failure?.code).toMatch(/^(?:decode-failed|truncated|not-a-picture)$/);
  });
});

describe("a colour profile that cannot be read is reported, not taken for absent", () => {
  const pipeline = () =>
    sharp({ create: { width: 8, height: 8, channels: 3, background: "#767676" } }).withIccProfile(
      "p3",
    );

  test("in a PNG, by its checksum and by its content", async () => {
    const file = await pipeline().png().toBuffer();
    const at = file.indexOf("iCCP", 0, "latin1");
    const length = file.readUInt32BE(at - 4);
    const chunk = file.subarray(at - 4, at + 8 + length);
    const data = Buffer.from(chunk.subarray(8, 8 + length));
    data.fill(0xff, data.length >> 1);
    for (const replacement of [damaged(Buffer.from(chunk)), pngChunk("iCCP", data)]) {
      const broken = Buffer.concat([
        file.subarray(0, at - 4),
        replacement,
        file.subarray(at + 8 + length),
      ]);
      const { picture, notes } = await gradeFrame(broken, {});
      expect(codes(notes)).toContain("profile-unreadable");
      expect(picture?.colour).toBe("sRGB, assumed: its profile cannot be read");
    }
    expect((await gradeFrame(file, {})).picture?.colourFrom).toBe("icc");
  });

  test("in a JPEG, by its content", async () => {
    const file = await pipeline().jpeg().toBuffer();
    const broken = Buffer.from(file);
    broken.write("none", file.indexOf("acsp", 0, "latin1"), "latin1");
    const { picture, notes } = await gradeFrame(broken, {});
    expect(codes(notes)).toContain("profile-unreadable");
    expect(picture?.colour).toBe("sRGB, assumed: its profile cannot be read");
    expect((await gradeFrame(file, {})).picture?.colourFrom).toBe("icc");
  });
});
