import { gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { pngChunk, pngFile } from "./pngFile.ts";
import { linear } from "./srgb.ts";

/*
 * Half of every picture is a light tone, half is black that nobody sees: the fall is that of the light tone, in every
 * bit depth and colour type that PNG and TIFF have.
 */

const SIZE = 8;
const MIDDLE_GREY = 0.18;
const isSeen = (x: number): boolean => x < SIZE / 2;

/** What the tally's whole numbers are worth; a transparent half that counts is off by a stop. */
const TOLERANCE_STOPS = 1e-7;

async function expectFall(file: Uint8Array, code: number, fullScale: number): Promise<void> {
  const row = await gradeFrame(file, {});
  expect(row.failure).toBeNull();
  const expected = Math.log2(linear((255 * code) / fullScale) / MIDDLE_GREY);
  expect(Math.abs((row.fall?.stops ?? Number.NaN) - expected)).toBeLessThan(TOLERANCE_STOPS);
}

/** A light code of this depth. */
const lightOf = (bits: number): number => Math.ceil(0.6 * (2 ** bits - 1));

const sixteenBits = (...values: number[]): Uint8Array =>
  Uint8Array.from(values.flatMap((value) => [value >> 8, value & 255]));

describe("what is transparent counts nothing in a PNG of", () => {
  const base = { width: SIZE, height: SIZE };

  test.each([1, 2, 4, 8, 16])("grey of %i bits with a transparent code", async (bits) => {
    const light = lightOf(bits);
    const chunks = [pngChunk("tRNS", sixteenBits(0))];
    const pixel = (x: number) => [isSeen(x) ? light : 0];
    const file = pngFile({ ...base, bits, colourType: 0, pixel, chunks });
    await expectFall(file, light, 2 ** bits - 1);
  });

  test.each([8, 16])("red, green and blue of %i bits with a transparent colour", async (bits) => {
    const light = lightOf(bits);
    const chunks = [pngChunk("tRNS", sixteenBits(0, 0, 0))];
    const pixel = (x: number) => Array<number>(3).fill(isSeen(x) ? light : 0);
    const file = pngFile({ ...base, bits, colourType: 2, pixel, chunks });
    await expectFall(file, light, 2 ** bits - 1);
  });

  test.each([1, 2, 4, 8])("a palette of %i bits with transparent entries", async (bits) => {
    const light = 153;
    const chunks = [
      pngChunk("PLTE", Uint8Array.of(0, 0, 0, light, light, light)),
      pngChunk("tRNS", Uint8Array.of(0)),
    ];
    const pixel = (x: number) => [isSeen(x) ? 1 : 0];
    const file = pngFile({ ...base, bits, colourType: 3, pixel, chunks });
    await expectFall(file, light, 255);
  });

  test.each([
    [8, 4, 1],
    [16, 4, 1],
    [8, 6, 3],
    [16, 6, 3],
  ])("%i bits with alpha, colour type %i", async (bits, colourType, tones) => {
    const [light, most] = [lightOf(bits), 2 ** bits - 1];
    const pixel = (x: number) => [
      ...Array<number>(tones).fill(isSeen(x) ? light : 0),
      isSeen(x) ? most : 0,
    ];
    await expectFall(pngFile({ ...base, bits, colourType, pixel }), light, most);
  });

  test("every depth and colour type alike, where nothing is transparent", async () => {
    for (const [bits, colourType, samples] of [
      ...[1, 2, 4, 8, 16].map((bits) => [bits, 0, 1] as const),
      ...[8, 16].map((bits) => [bits, 2, 3] as const),
      ...[8, 16].map((bits) => [bits, 4, 2] as const),
      ...[8, 16].map((bits) => [bits, 6, 4] as const),
    ]) {
      const [light, most] = [lightOf(bits), 2 ** bits - 1];
      const alpha = samples % 2 === 0 ? [most] : [];
      const tones = Array<number>(samples - alpha.length).fill(light);
      const file = pngFile({ ...base, bits, colourType, pixel: () => [...tones, ...alpha] });
      await expectFall(file, light, most);
    }
  });
});

describe("what is transparent counts nothing in a TIFF of", () => {
  test.each([
    [8, "b-w", 1],
    [16, "grey16", 1],
    [8, "srgb", 3],
    [16, "rgb16", 3],
  ] as const)("%i bits with alpha, %s", async (bits, space, tones) => {
    const [light, most] = [lightOf(bits), 2 ** bits - 1];
    const pixels = Array.from({ length: SIZE * SIZE }, (_, i) => isSeen(i % SIZE)).flatMap(
      (seen) => [...Array<number>(tones).fill(seen ? light : 0), seen ? most : 0],
    );
    const samples = bits === 8 ? Uint8Array.from(pixels) : Uint16Array.from(pixels);
    const channels = (tones + 1) as 2 | 4;
    const file = await sharp(samples, { raw: { width: SIZE, height: SIZE, channels } })
      .toColourspace(space)
      .tiff({ compression: "none" })
      .toBuffer();
    const { channels: held, depth } = await sharp(file).metadata();
    expect([held, depth]).toEqual([channels, bits === 8 ? "uchar" : "ushort"]);
    await expectFall(file, light, most);
  });
});
