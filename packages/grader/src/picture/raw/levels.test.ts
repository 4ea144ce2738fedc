import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { channelBlack } from "./blackLevels.ts";
import type { StatedBlack } from "./dngTags.ts";
import { bayerPattern, mosaicCell, plainCell } from "./filterCell.ts";
import { rawColour } from "./rawColour.ts";
import { statedBlack } from "./statedBlack.ts";
import { whiteFromData } from "./whiteFromData.ts";
import { statedWhite, whiteLevels } from "./whiteLevels.ts";

const RGGB = { rows: 2, columns: 2, values: [0, 1, 1, 2] };

describe("channelBlack", () => {
  test("[DNG, chapter 5] worked example: white minus the largest black sets the scale", () => {
    // Blacks 511 to 513, white 16383: code 8000 on a black of 511 is 7489 of 15870.
    const stated = {
      rows: 2,
      columns: 2,
      values: [511, 512, 512, 513],
      columnDeltas: null,
      rowDeltas: null,
    };
    const area = { left: 0, top: 0, width: 8, height: 8 };
    const { levels, largest } = channelBlack(stated, area, mosaicCell(RGGB, area, area), area);
    const scaled = (8000 - (levels[0] as number)) / (16383 - (largest[0] as number));
    expect(scaled).toBeCloseTo(7489 / 15870, 12);
  });

  test("raising every sample by its excess gives each channel one black: the largest that it has", () => {
    const size = fc.integer({ min: 1, max: 5 });
    const deltas = fc.option(
      fc.array(fc.integer({ min: -20, max: 20 }), { minLength: 12, maxLength: 12 }),
      {
        nil: null,
      },
    );
    fc.assert(
      fc.property(
        size,
        size,
        fc.array(fc.integer({ min: 100, max: 900 }), { minLength: 25, maxLength: 25 }),
        deltas,
        deltas,
        fc.integer({ min: 0, max: 3 }),
        fc.integer({ min: 0, max: 3 }),
        (rows, columns, values, columnDeltas, rowDeltas, left, top) => {
          const stated: StatedBlack = { rows, columns, values, columnDeltas, rowDeltas };
          const area = { left: 5, top: 7, width: 12, height: 12 };
          const picture = { left: area.left + left, top: area.top + top, width: 8, height: 8 };
          const cell = mosaicCell(RGGB, area, picture);
          const black = channelBlack(stated, area, cell, picture);
          for (const [channel, site] of cell.sites.entries()) {
            let largest = Number.NEGATIVE_INFINITY;
            for (let y = 0; y < area.height; y++) {
              for (let x = 0; x < area.width; x++) {
                const inPhase =
                  (y - top - site.row) % 2 === 0 && (x - left - site.column) % 2 === 0;
                if (!inPhase) continue;
                const own =
                  (values[(y % rows) * columns + (x % columns)] as number) +
                  (columnDeltas?.[x] ?? 0) +
                  (rowDeltas?.[y] ?? 0);
                largest = Math.max(largest, own);
                const excess = black.excess?.(y, x, channel) ?? 0;
                expect(own + excess).toBe(black.levels[channel]);
                expect(excess).toBeGreaterThanOrEqual(0);
              }
            }
            expect(black.levels[channel]).toBe(largest);
          }
          expect(new Set(black.largest)).toEqual(new Set([Math.max(...black.levels)]));
        },
      ),
    );
  });

  test("planes of a demosaiced picture have scales of their own", () => {
    const stated = {
      rows: 1,
      columns: 1,
      values: [10, 20, 30],
      columnDeltas: null,
      rowDeltas: null,
    };
    const area = { left: 0, top: 0, width: 4, height: 4 };
    expect(channelBlack(stated, area, plainCell(3), area)).toMatchObject({
      levels: [10, 20, 30],
      largest: [10, 20, 30],
      excess: null,
    });
  });
});

describe("bayerPattern", () => {
  test.each([
    [0xb4b4b4b4, [0, 1, 1, 2]],
    [0xe1e1e1e1, [1, 0, 2, 1]],
    [0x4b4b4b4b, [1, 2, 0, 1]],
    [0x1e1e1e1e, [2, 1, 1, 0]],
  ])("%i", (filters, values) => {
    expect(bayerPattern(filters)?.values).toEqual(values);
  });

  test("is null for words that are no two rows of red, green and blue", () => {
    expect(bayerPattern(0)).toBeNull();
    expect(bayerPattern(0xb4b41e1e)).toBeNull();
    expect(bayerPattern(0x55555555)).toBeNull();
  });
});

describe("statedBlack", () => {
  const border = { rows: 2, columns: 2, levels: [130, 128, 129, 127], noise: [5, 5, 5, 5] };
  const maker = { black: 0, unpackedBlack: 0, canonBlack: null, filters: 0xb4b4b4b4 };

  test("levels of single colours go to their own sites, the second green's to its own", () => {
    const { stated, from } = statedBlack(
      null,
      null,
      { ...maker, canonBlack: [1, 2, 3, 4] },
      border,
    );
    expect(stated.values).toEqual([1, 2, 4, 3]);
    expect(from).toBe("maker");
  });

  test("a level of 0 is no statement: the border decides, and without one nothing does", () => {
    expect(statedBlack(null, null, maker, border)).toMatchObject({
      stated: { values: border.levels },
      from: "masked-border",
    });
    expect(() => statedBlack(null, null, maker, null)).toThrow(
      expect.objectContaining({ code: "raw-no-black-level" }),
    );
    expect(statedBlack(null, null, { ...maker, black: 15 }, border).stated.values).toEqual([15]);
    expect(statedBlack(null, null, { ...maker, unpackedBlack: 9 }, null).stated.values).toEqual([
      9,
    ]);
  });

  test("a RAF file's own pattern goes before LibRaw's common level", () => {
    const raf = { rows: 2, columns: 2, values: [1021, 1022, 1023, 1024] };
    const { stated } = statedBlack(null, raf, { ...maker, black: 1021 }, null);
    expect(stated.values).toEqual(raf.values);
  });
});

describe("whiteLevels", () => {
  /** Tones thinning out to the top, with a pile at a code. */
  function piled(at: number, samples = 3000): Uint32Array {
    const histogram = new Uint32Array(65536);
    for (let code = 600; code < at; code++) histogram[code] = 1 + Math.floor((at - code) / 2000);
    histogram[at] = samples;
    return histogram;
  }

  test("finds the pile, with the codes that read noise spreads it over", () => {
    const histogram = piled(15000);
    for (const [offset, count] of [400, 1500, 3000, 1500, 400].entries())
      histogram[14998 + offset] = count;
    expect(whiteFromData(histogram, 512, 16383)).toEqual({ white: 14998, samples: 6800 });
  });

  test("finds none where the stated white is reached, or where the top just ends", () => {
    expect(whiteFromData(piled(16383), 512, 16383)).toBeNull();
    expect(whiteFromData(piled(15000, 3), 512, 16383)).toBeNull();
    expect(whiteFromData(new Uint32Array(65536), 512, 16383)).toBeNull();
  });

  test("a channel without a pile shares the others' unless it holds codes above", () => {
    const high = piled(15500, 1);
    const { clipCodes, scale, from } = whiteLevels(
      [piled(15000), piled(9000, 1), high],
      [512, 512, 512],
      [16383, 16383, 16383],
    );
    expect(clipCodes).toEqual([15000, 15000, 16383]);
    expect(scale).toEqual([15000, 15000, 15000]);
    expect(from).toBe("data");
  });

  test("statedWhite takes the lower of the maker's two", () => {
    const cell = plainCell(1);
    expect(statedWhite(null, { white: 16383, canonWhite: 15280 }, cell)).toEqual([15280]);
    expect(statedWhite(null, { white: 16383, canonWhite: 0 }, cell)).toEqual([16383]);
  });
});

describe("rawColour", () => {
  const camera = {
    asShotMultipliers: [2, 1, 1.5, 0],
    daylightMultipliers: [2.4, 1.2, 1.8, 0],
    srgbFromCamera: [
      [1.8, -0.9, 0.1, 0],
      [-0.2, 1.7, -0.5, 0],
      [0, -0.5, 1.5, 0],
    ],
  };

  test("a neutral keeps its value: the row sums to 1", () => {
    const { luminanceRow, notes } = rawColour(null, camera);
    expect(luminanceRow.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 12);
    expect(notes).toEqual([]);
  });

  test("the balance divides by the camera neutral, scaled to green", () => {
    expect(rawColour([1, 2.477, 1.462], camera).multipliers).toEqual([2.477, 1, 2.477 / 1.462]);
  });

  test.each([[[0, 1, 0, 0]], [[-1, 0.97, 1, 0]], [[0, 0, 0, 0]]])(
    "multipliers %j are none: daylight, and a note",
    (asShotMultipliers) => {
      const { multipliers, notes } = rawColour(null, { ...camera, asShotMultipliers });
      expect(multipliers).toEqual([2.4 / 1.2, 1, 1.8 / 1.2]);
      expect(notes.map(({ code }) => code)).toEqual(["white-balance-assumed"]);
    },
  );

  test("an unknown camera is weighed like sRGB, with a note", () => {
    const srgbFromCamera = [
      [1, 0, 0, 0],
      [0, 1, 0, 0],
      [0, 0, 1, 0],
    ];
    const { luminanceRow, notes } = rawColour(null, { ...camera, srgbFromCamera });
    expect(luminanceRow[1]).toBeCloseTo(0.7152, 4);
    expect(notes.map(({ code }) => code)).toEqual(["camera-matrix-missing"]);
  });
});
