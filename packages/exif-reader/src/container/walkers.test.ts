import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { box, heifFixture, numbers, pngFixture } from "../../test/containerFixtures.ts";
import { tiffFixture } from "../../test/tiffFixture.ts";
import { tiffDirectories } from "../tiff/tiffDirectories.ts";
import { primaryProperties } from "./isobmffProperties.ts";
import { pngChunks } from "./pngChunks.ts";

/** A `meta` box of two properties, of which this list names some as item 1's. */
function metaOf(...boxes: readonly Uint8Array[]): Uint8Array {
  const properties = box("ipco", box("colr", Buffer.from("nclx")), box("irot", numbers([1, 1])));
  const pitm = box("pitm", numbers([0, 4], [1, 2]));
  return box("meta", numbers([0, 4]), pitm, box("iprp", properties, ...boxes));
}

describe("primaryProperties", () => {
  const types = (head: Uint8Array) => primaryProperties(head).map(({ type }) => type);

  test("gives those that the list names for the primary picture", () => {
    const list = numbers([0, 4], [2, 4], [7, 2], [1, 1], [1, 1], [1, 2], [1, 1], [0x82, 1]);
    expect(types(metaOf(box("ipma", list)))).toEqual(["irot"]);
    expect([...(primaryProperties(metaOf(box("ipma", list)))[0]?.payload ?? [])]).toEqual([1]);
  });

  test("gives all where the file names none, or its list is cut off", () => {
    expect(types(metaOf())).toEqual(["colr", "irot"]);
    const cut = numbers([0, 4], [9, 4], [1, 2], [1, 1], [2, 1]);
    expect(types(metaOf(box("ipma", cut)))).toEqual(["colr", "irot"]);
  });

  test("reads a file's beginning, up to any byte", () => {
    const file = heifFixture("heic", { quarterTurns: 1 });
    expect(types(file)).toEqual(["irot"]);
    for (let end = 0; end < file.length; end++) {
      expect(["", "irot"]).toContain(types(file.subarray(0, end)).join());
    }
  });
});

describe("pngChunks", () => {
  const png = pngFixture(["gAMA", numbers([45455, 4])], ["IDAT", Buffer.alloc(3)]);

  test("gives the chunks before the pixels", () => {
    const chunks = pngChunks(png);
    expect(chunks.map(({ type }) => type)).toEqual(["IHDR", "gAMA"]);
    expect([...(chunks[1]?.data ?? [])]).toEqual([...numbers([45455, 4])]);
  });

  test("one changed bit is seen", () => {
    const damaged = Uint8Array.from(png);
    damaged[8 + 25 + 8] = (damaged[8 + 25 + 8] ?? 0) ^ 1;
    expect(pngChunks(png).map(({ isIntact }) => isIntact)).toEqual([true, true]);
    expect(pngChunks(damaged).map(({ isIntact }) => isIntact)).toEqual([true, false]);
  });
});

describe("tiffDirectories", () => {
  test("gives the chain, and numbers of every kind", () => {
    const directories = tiffDirectories(
      tiffFixture({
        ifd0: [
          [256, "SHORT", [640]],
          [271, "ASCII", "Ab"],
          [282, "RATIONAL", [[1, 4]]],
          [50721, "SRATIONAL", [[-3, 2]]],
        ],
        ifd1: [[256, "LONG", [160]]],
      }),
    );
    expect(directories.map((directory) => directory.numbers(256))).toEqual([[640], [160]]);
    const [first] = directories;
    expect(first?.numbers(271)).toEqual([65, 98, 0]);
    expect(first?.numbers(282)).toEqual([0.25]);
    expect(first?.numbers(50721)).toEqual([-1.5]);
    expect(first?.numbers(257)).toBeNull();
  });

  test("follows the tag it is given, and no loop", () => {
    const exif = [[33434, "RATIONAL", [[1, 60]]]] as const;
    const file = tiffFixture({ ifd0: [[256, "SHORT", [640]]], exif });
    expect(tiffDirectories(file)).toHaveLength(1);
    expect(tiffDirectories(file, 0x8769).map((each) => each.numbers(33434)?.[0] ?? null)).toEqual([
      null,
      1 / 60,
    ]);
    expect(tiffDirectories(tiffFixture({ ifd0: [[330, "LONG", [8]]] }))).toHaveLength(1);
  });

  test("a pointer may be any number", () => {
    const any = fc.oneof(fc.double(), fc.integer());
    fc.assert(
      fc.property(any, (place) => {
        const file = tiffFixture({ ifd0: [[330, "DOUBLE", [place]]] });
        expect(tiffDirectories(file).length).toBeGreaterThanOrEqual(1);
      }),
    );
  });
});
