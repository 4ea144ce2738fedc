import { tiffDirectories } from "@tonefall/exif-reader";
import { describe, expect, test } from "vitest";
import { pixelExtent, pixelsMissing } from "./pixelExtent.ts";
import { rafBlack } from "./rafBlack.ts";

/** A file of zeros with text and numbers at given places. */
function file(length: number, parts: Record<number, string | readonly number[]>): Uint8Array {
  const bytes = new Uint8Array(length);
  for (const [at, part] of Object.entries(parts)) {
    bytes.set(typeof part === "string" ? Buffer.from(part, "latin1") : part, Number(at));
  }
  return bytes;
}

function big(value: number): number[] {
  return [24, 16, 8, 0].map((shift) => (value >>> shift) & 255);
}

function little(value: number): number[] {
  return big(value).reverse();
}

describe("pixelExtent", () => {
  test("RAF states offset and length of its pixels", () => {
    const raf = file(2000, { 0: "FUJIFILMCCD-RAW ", 100: big(1000), 104: big(1500) });
    expect(pixelExtent(raf, [])).toEqual({ claimedBytes: 1500, presentBytes: 1000 });
  });

  test("MRW: pixels follow the headers, their size from sides and bits", () => {
    const mrw = file(500, { 0: "\0MRM", 4: big(92), 24: [0, 20], 26: [0, 30], 32: [12] });
    expect(pixelExtent(mrw, [])).toEqual({ claimedBytes: 900, presentBytes: 400 });
  });

  test("CRW: the heap's directory at the end names the pixels", () => {
    // One entry: type 0x2005, 300 bytes at offset 4 of the heap, which starts at 26.
    const crw = file(400, {
      0: "II",
      2: little(26),
      6: "HEAPCCDR",
      340: [1, 0, 0x05, 0x20, ...little(300), ...little(4)],
      396: little(314),
    });
    expect(pixelExtent(crw, [])).toEqual({ claimedBytes: 300, presentBytes: 300 });
    expect(pixelsMissing(pixelExtent(crw.subarray(0, 380), []), null, 380)).toBe("all");
  });

  test("CR3: pixels lie in the media data box", () => {
    const cr3 = file(300, {
      0: [...big(24), ..."ftypcrx "].map((c) => (typeof c === "string" ? c.charCodeAt(0) : c)),
      24: big(1000),
      28: "mdat",
    });
    expect(pixelExtent(cr3, [])).toEqual({ claimedBytes: 992, presentBytes: 268 });
    expect(pixelsMissing(pixelExtent(cr3, []), null, 300)).toBe("some");
  });

  test("X3F: the last word points at the directory of its pictures", () => {
    const x3f = (length: number): Uint8Array =>
      file(1000, {
        0: "FOVb",
        116: little(20),
        120: little(10),
        900: "SECd",
        908: little(1),
        912: [...little(100), ...little(length)],
        920: "IMA2",
        996: little(900),
      });
    expect(pixelExtent(x3f(700), [])).toEqual({ claimedBytes: 700, presentBytes: 700 });
    expect(pixelsMissing(pixelExtent(x3f(20), []), null, 1000)).toBe("all");
    expect(pixelsMissing(pixelExtent(x3f(700).subarray(0, 950), []), null, 950)).toBe("all");
  });

  test("a container that is not known tells nothing", () => {
    expect(pixelExtent(new Uint8Array(100), [])).toBeNull();
    expect(pixelExtent(new Uint8Array(3), [])).toBeNull();
  });
});

describe("rafBlack", () => {
  test("reads the levels of the filter pattern from the TIFF at the head of the pixels", () => {
    const raf = file(600, {
      0: "FUJIFILMCCD-RAW ",
      100: big(200),
      200: "II*\0",
      204: little(8),
      // One directory with the maker's sub-directory, which has four levels.
      208: [1, 0, 0x00, 0xf0, 13, 0, ...little(1), ...little(40)],
      240: [1, 0, 0x0a, 0xf0, 4, 0, ...little(4), ...little(80)],
      280: [1021, 1022, 1023, 1024].flatMap(little),
    });
    expect(rafBlack(raf)).toEqual({ rows: 2, columns: 2, values: [1021, 1022, 1023, 1024] });
    expect(rafBlack(raf.subarray(0, 230))).toBeNull();
    expect(rafBlack(new Uint8Array(600))).toBeNull();
  });
});

describe("pixelsMissing", () => {
  test.each([
    ["all of them there", { claimedBytes: 1000, presentBytes: 1000 }, 2000, "none"],
    ["a byte missing", { claimedBytes: 1000, presentBytes: 999 }, 2000, "some"],
    ["under a hundredth there", { claimedBytes: 1000, presentBytes: 9 }, 2000, "all"],
    ["under a bit a sample claimed", { claimedBytes: 100, presentBytes: 100 }, 2000, "all"],
  ] as const)("%s", (_, extent, samples, missing) => {
    expect(pixelsMissing(extent, samples, 5000)).toBe(missing);
  });

  test("without an extent, the file itself must be large enough", () => {
    expect(pixelsMissing(null, 8000, 999)).toBe("all");
    expect(pixelsMissing(null, 8000, 1000)).toBe("none");
  });
});

describe("tiffDirectories", () => {
  test("reads numbers of every type", () => {
    const tiff = file(200, {
      0: "II*\0",
      4: little(8),
      8: [5, 0],
      10: [1, 1, 3, 0, ...little(2), 7, 0, 8, 0],
      22: [2, 1, 5, 0, ...little(1), ...little(100)],
      34: [3, 1, 10, 0, ...little(1), ...little(108)],
      46: [4, 1, 2, 0, ...little(2), 65, 0, 0, 0],
      58: [5, 1, 99, 0, ...little(1), 0, 0, 0, 0],
      100: [...little(3), ...little(4)],
      108: [...little(0xffffffff), ...little(2)],
    });
    const [directory] = tiffDirectories(tiff);
    expect(directory?.numbers(257)).toEqual([7, 8]);
    expect(directory?.numbers(258)).toEqual([0.75]);
    expect(directory?.numbers(259)).toEqual([-0.5]);
    expect(directory?.numbers(260)).toEqual([65, 0]);
    expect(directory?.numbers(261)).toBeNull();
    expect(directory?.numbers(999)).toBeNull();
  });

  test("a directory that leads to itself is read once; one outside the file not at all", () => {
    const loop = file(40, { 0: "MM\0*", 4: big(8), 8: [0, 0], 10: big(8) });
    expect(tiffDirectories(loop)).toHaveLength(1);
    expect(tiffDirectories(file(40, { 0: "MM\0*", 4: big(4000) }))).toEqual([]);
    expect(tiffDirectories(new Uint8Array(40))).toEqual([]);
  });

  test("values beyond the file are not read, however many are claimed", () => {
    const wild = file(60, {
      0: "II*\0",
      4: little(8),
      8: [1, 0],
      10: [1, 1, 4, 0, ...little(0xffffffff), ...little(0)],
    });
    expect(tiffDirectories(wild)[0]?.numbers(257)).toBeNull();
  });
});
