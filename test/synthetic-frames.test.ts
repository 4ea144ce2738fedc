import { gradeFrame } from "@tonefall/grader";
import Color from "colorjs.io";
import sharp, { type Sharp } from "sharp";
import { describe, expect, test } from "vitest";
import {
  greyProfile,
  jpegWithProfile,
  matrixProfile,
  pngWithChunk,
  pngWithProfile,
  type TestCurve,
} from "./iccProfile.ts";

/** What a fall may be off by, stops; the code's own rounding comes on top of it. */
const TOLERANCE = 0.01;

interface Space {
  readonly name: string;
  /** The colour library's name of the space; it gives colorants and luminance, independent of ours. */
  readonly id: string;
  /** XYZ in which the space's own white has luminance 1. */
  readonly white: "xyz-d65" | "xyz-d50";
  readonly curve: TestCurve;
}

const SPACES: readonly Space[] = [
  { name: "sRGB", id: "srgb", white: "xyz-d65", curve: "srgb" },
  { name: "Adobe RGB", id: "a98rgb", white: "xyz-d65", curve: { gamma: 563 / 256 } },
  { name: "Display P3", id: "p3", white: "xyz-d65", curve: "srgb" },
  {
    name: "ProPhoto",
    id: "prophoto",
    white: "xyz-d50",
    curve: { table: Array.from({ length: 4096 }, (_, i) => romm(i / 4095)) },
  },
];

/** ROMM RGB decoding [ROMM], sampled for a table curve. */
function romm(encoded: number): number {
  return encoded < 16 * 0.001953125 ? encoded / 16 : encoded ** 1.8;
}

const COLOURS = [
  { name: "middle grey", rgb: [0.4614, 0.4614, 0.4614] },
  { name: "white", rgb: [1, 1, 1] },
  { name: "a red", rgb: [0.6863, 0.2118, 0.2353] },
  { name: "a green", rgb: [0.2745, 0.5804, 0.2863] },
  { name: "a blue", rgb: [0.2196, 0.2392, 0.5882] },
  { name: "a shadow", rgb: [0.12, 0.1, 0.09] },
] as const;

function profileOf({ id, curve, white }: Space): Uint8Array {
  const colorants = (["r", "g", "b"] as const).map((channel) => {
    const colour = new Color(id, [0, 0, 0]);
    colour.coords[["r", "g", "b"].indexOf(channel)] = 1;
    return colour.to("xyz-d50").coords.map(Number);
  }) as [number[], number[], number[]];
  // Version 4 profiles of D65 spaces carry the adaptation; the library applies Bradford's, so its matrix undoes it.
  const columns = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ].map((axis) =>
    new Color("xyz-d65", axis as [number, number, number]).to("xyz-d50").coords.map(Number),
  );
  const chad = [0, 1, 2].flatMap((row) => columns.map((column) => column[row] as number));
  return matrixProfile({ colorants, curve, ...(white === "xyz-d65" ? { chad } : {}) });
}

function luminanceOf({ id, white }: Space, rgb: readonly number[]): number {
  return Number(new Color(id, [...rgb] as [number, number, number]).to(white).coords[1]);
}

function flatRaw(codes: readonly number[], sixteen: boolean): Sharp {
  const values = Array.from(
    { length: 16 * 16 * codes.length },
    (_, i) => codes[i % codes.length] ?? 0,
  );
  const samples = sixteen ? Uint16Array.from(values) : Uint8Array.from(values);
  return sharp(samples, { raw: { width: 16, height: 16, channels: codes.length as 3 } });
}

async function png(codes: readonly number[], sixteen: boolean): Promise<Uint8Array> {
  const space = codes.length === 1 ? (sixteen ? "grey16" : "b-w") : sixteen ? "rgb16" : "srgb";
  return flatRaw(codes, sixteen).toColourspace(space).png().toBuffer();
}

describe.each(SPACES)("$name", (space) => {
  const icc = profileOf(space);

  describe.each([8, 16])("%i bits", (bits) => {
    const full = 2 ** bits - 1;
    test.each(COLOURS)("$name falls where the colour library has it", async ({ rgb }) => {
      const codes = rgb.map((value) => Math.round(value * full));
      const expected = luminanceOf(
        space,
        codes.map((code) => code / full),
      );
      const { fall, picture } = await gradeFrame(
        pngWithProfile(await png(codes, bits === 16), icc),
      );
      expect(picture).toMatchObject({ bits, colour: "test profile", colourFrom: "icc" });
      expect(Math.abs((fall?.stops ?? Number.NaN) - Math.log2(expected / 0.18))).toBeLessThan(
        TOLERANCE,
      );
      expect(Math.abs((fall?.median ?? Number.NaN) - Math.log2(expected / 0.18))).toBeLessThan(
        TOLERANCE,
      );
    });
  });

  test("the profile is read from a JPEG too", async () => {
    const jpeg = await flatRaw([118, 118, 118], false).jpeg({ quality: 100 }).toBuffer();
    const { fall } = await gradeFrame(jpegWithProfile(jpeg, icc));
    const expected = luminanceOf(space, [118 / 255, 118 / 255, 118 / 255]);
    expect(fall?.stops).toBeCloseTo(Math.log2(expected / 0.18), 2);
  });
});

describe("grey", () => {
  test.each([1.8, 2.2])("gamma %f by its profile", async (gamma) => {
    const grey = pngWithProfile(await png([118], false), greyProfile({ gamma }));
    const { fall, picture } = await gradeFrame(grey);
    expect(picture?.colourFrom).toBe("icc");
    expect(fall?.stops).toBeCloseTo(Math.log2((118 / 255) ** gamma / 0.18), 3);
  });

  test("without a profile is sRGB, and says so", async () => {
    const { fall, notes } = await gradeFrame(await png([118], false));
    expect(fall?.stops).toBeCloseTo(0.0093, 3);
    expect(notes.map(({ code }) => code)).toContain("assumed-srgb");
  });

  test("16 bits resolve what 8 cannot", async () => {
    const { fall } = await gradeFrame(await png([30235], true));
    // 0.46136 of full scale decodes to 18 % [SRGB].
    expect(fall?.stops).toBeCloseTo(0, 3);
  });
});

describe("what PNG says without a profile", () => {
  test("a stated gamma is honoured", async () => {
    const gama = Buffer.alloc(4);
    gama.writeUInt32BE(Math.round(100_000 / 1.6));
    const { fall, picture } = await gradeFrame(
      pngWithChunk(await png([118, 118, 118], false), "gAMA", gama),
    );
    expect(picture?.colourFrom).toBe("png");
    expect(fall?.stops).toBeCloseTo(Math.log2((118 / 255) ** 1.6 / 0.18), 2);
  });

  test("code points are honoured: BT.2020 primaries, linear light", async () => {
    const cicp = Uint8Array.of(9, 8, 0, 1);
    const { fall, picture } = await gradeFrame(
      pngWithChunk(await png([128, 64, 32], false), "cICP", cicp),
    );
    expect(picture?.colourFrom).toBe("cicp");
    // Luminance row of BT.2020: 0.2627 0.6780 0.0593 [BT.2020].
    const luminance = (0.2627 * 128 + 0.678 * 64 + 0.0593 * 32) / 255;
    expect(fall?.stops).toBeCloseTo(Math.log2(luminance / 0.18), 2);
  });

  test("a high dynamic range curve is refused, not guessed", async () => {
    const cicp = Uint8Array.of(9, 16, 0, 1);
    const { failure } = await gradeFrame(
      pngWithChunk(await png([128, 64, 32], false), "cICP", cicp),
    );
    expect(failure?.code).toBe("unsupported-colour");
  });
});

describe("formats", () => {
  test.each(["jpeg", "png", "webp", "tiff", "avif"] as const)(
    "%s holds middle grey",
    async (format) => {
      const bytes = await flatRaw([118, 118, 118], false)
        .toFormat(format, { quality: 100, lossless: true })
        .toBuffer();
      const { fall, format: read } = await gradeFrame(bytes);
      expect(read).toBe(format);
      // One code either way: a lossy format may round.
      expect(Math.abs(fall?.stops ?? Number.NaN)).toBeLessThan(0.036);
    },
  );

  test("a 16-bit TIFF keeps its bits", async () => {
    const bytes = await flatRaw([30235, 30235, 30235], true)
      .toColourspace("rgb16")
      .tiff({ compression: "none" })
      .toBuffer();
    const { fall, picture } = await gradeFrame(bytes);
    expect(picture?.bits).toBe(16);
    expect(fall?.stops).toBeCloseTo(0, 3);
  });

  test("CMYK is converted, and says so", async () => {
    const bytes = await flatRaw([118, 118, 118], false)
      .toColourspace("cmyk")
      .jpeg({ quality: 100 })
      .toBuffer();
    const { fall, picture, notes } = await gradeFrame(bytes);
    expect(picture?.colourFrom).toBe("converted");
    expect(notes.map(({ code }) => code)).toContain("converted-to-srgb");
    // The way into CMYK moved the tone by itself; how far the way back may be trusted is tested on real files.
    expect(Math.abs(fall?.stops ?? Number.NaN)).toBeLessThan(0.35);
  });

  test("transparent pixels are left out, and said so", async () => {
    const samples = Uint8Array.from({ length: 16 * 16 * 4 }, (_, i) => {
      const opaque = Math.floor(i / 4) % 16 < 8;
      return i % 4 === 3 ? (opaque ? 255 : 0) : opaque ? 118 : 255;
    });
    const bytes = await sharp(samples, { raw: { width: 16, height: 16, channels: 4 } })
      .png()
      .toBuffer();
    const { fall, pixels, notes } = await gradeFrame(bytes);
    expect(pixels).toBe(128);
    expect(fall?.stops).toBeCloseTo(0.0093, 3);
    expect(notes.map(({ code }) => code)).toContain("transparent");
  });
});
