import { expect, test } from "vitest";
import { type FixtureTag, tiffFixture } from "../../test/tiffFixture.ts";
import type { ByteSource } from "../source/byteSource.ts";
import { readExifTags } from "./exifTags.ts";

const TAGS: FixtureTag[] = [
  [0x829a, "RATIONAL", [[1, 60]]],
  [0x9207, "SHORT", [5]],
];

test("readExifTags(blocks) asks a 50 MB file for no more than its directories and values", async () => {
  const start = tiffFixture({ exif: TAGS });
  let asked = 0;
  const source: ByteSource = {
    size: 50_000_000,
    read: async (offset, length) => {
      asked += length;
      return start.subarray(offset, offset + length);
    },
  };
  const tags = await readExifTags([{ source, root: "ifd0" }]);
  expect(tags.source.numbers("MeteringMode")).toMatchObject({ value: [{ numerator: 5 }] });
  expect(asked).toBeLessThan(1000);
});

test("readExifTags(blocks) takes a tag from the first block that holds it", async () => {
  const { source } = await readExifTags(
    [
      tiffFixture({ exif: TAGS.slice(0, 1) }),
      tiffFixture({
        exif: [
          [0x829a, "RATIONAL", [[1, 8]]],
          [0x9207, "SHORT", [3]],
        ],
      }),
    ].map((bytes) => ({
      source: { size: bytes.length, read: async (at, length) => bytes.subarray(at, at + length) },
      root: "ifd0" as const,
    })),
  );
  expect(source.numbers("ExposureTime")).toMatchObject({
    value: [{ numerator: 1, denominator: 60 }],
  });
  expect(source.numbers("MeteringMode")).toMatchObject({
    value: [{ numerator: 3, denominator: 1 }],
  });
});

test.each([
  ["SBYTE", 6, [0xfe, 0, 0, 0], -2],
  ["SSHORT", 8, [0xfe, 0xff, 0, 0], -2],
  ["SLONG", 9, [0xfe, 0xff, 0xff, 0xff], -2],
  ["IFD", 13, [7, 0, 0, 0], 7],
])("readExifTags(blocks) reads a number of type %s", async (_, type, value, expected) => {
  const bytes = tiffFixture({ exif: [[0x9207, "LONG", [0]]] });
  const entryAt = bytes.findIndex((byte, at) => byte === 0x07 && bytes[at + 1] === 0x92);
  bytes[entryAt + 2] = type;
  bytes.set(value, entryAt + 8);
  const read = async (at: number, length: number) => bytes.subarray(at, at + length);
  const { source } = await readExifTags([{ source: { size: bytes.length, read }, root: "ifd0" }]);
  expect(source.numbers("MeteringMode")).toMatchObject({ value: [{ numerator: expected }] });
});

test("readExifTags(blocks) refuses types that do not exist, and values too many to be one", async () => {
  const bytes = tiffFixture({
    exif: [
      [0x829a, "SHORT", [1, 2, 3, 4, 5, 6, 7, 8, 9]],
      [0x9207, "LONG", [0]],
    ],
    ifd0: [[0x10f, "LONG", [1]]],
  });
  const typeOf = (low: number, high: number) =>
    2 + bytes.findIndex((byte, at) => byte === low && bytes[at + 1] === high);
  bytes[typeOf(0x07, 0x92)] = 99;
  bytes[typeOf(0x0f, 0x01)] = 99;
  const read = async (at: number, length: number) => bytes.subarray(at, at + length);
  const { source } = await readExifTags([{ source: { size: bytes.length, read }, root: "ifd0" }]);
  expect(source.numbers("MeteringMode")).toMatchObject({ fault: "wrong-type" });
  expect(source.numbers("ExposureTime")).toMatchObject({ fault: "wrong-type" });
  expect(source.text("Make")).toMatchObject({ fault: "wrong-type" });
});
