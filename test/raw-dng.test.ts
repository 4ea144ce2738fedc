import { describe, expect, test } from "vitest";
import {
  type DecodeRawOptions,
  decodeRaw,
  type RawFrame,
} from "../packages/grader/src/picture/raw/decodeRaw.ts";
import { type DngContent, dngFile, SRGB_FROM_XYZ } from "./raw/dngFile.ts";
import { type Box, channelMeans, clippedCounts, meanLuminance } from "./raw/frameMeasures.ts";

/*
 * Files of known sensor values, made here, against what the decoder says of them. Every feature of a DNG that a naive
 * reader gets wrong has a frame whose answer is arithmetic and comes out otherwise when the feature is left out.
 */

const WIDTH = 96;
const HEIGHT = 64;
const BLACK = 512;
const WHITE = 16383;

/** Stops within which a region of known light has to fall. */
const FALL_TOLERANCE_STOPS = 0.005;

/** Row of relative luminance on linear sRGB, D65 [SRGB]. */
const SRGB_ROW = [0.2126, 0.7152, 0.0722] as const;

/** A mosaic whose sites hold what a function of position and colour says. */
function mosaic(
  value: (x: number, y: number) => number,
  width = WIDTH,
  height = HEIGHT,
): Uint16Array {
  return Uint16Array.from({ length: width * height }, (_, i) =>
    Math.round(value(i % width, Math.floor(i / width))),
  );
}

/** Colour of a red-first Bayer site. */
function bayer(x: number, y: number): 0 | 1 | 2 {
  return ((y % 2) + (x % 2)) as 0 | 1 | 2;
}

const plain: DngContent = {
  width: WIDTH,
  height: HEIGHT,
  samples: mosaic((x, y) => 2000 + 10 * y + x),
  black: [BLACK],
  white: [WHITE],
  asShotNeutral: [1, 1, 1],
};

function decode(content: Partial<DngContent>, options?: DecodeRawOptions): Promise<RawFrame> {
  return decodeRaw(dngFile({ ...plain, ...content }), options);
}

function stopsApart(luminance: number, expected: number): number {
  return Math.abs(Math.log2(luminance / expected));
}

describe("decodeRaw(dng) light", () => {
  test("an even neutral falls on its share of saturation, whatever its colours' codes", async () => {
    // A grey of 0.1 under light that reads 0.5, 1 and 0.8 on the three colours.
    const neutral = [0.5, 1, 0.8] as const;
    const grey = 0.1;
    const samples = mosaic((x, y) => BLACK + grey * neutral[bayer(x, y)] * (WHITE - BLACK));
    const frame = await decode({ samples, asShotNeutral: neutral });
    expect(stopsApart(meanLuminance(frame), grey)).toBeLessThan(FALL_TOLERANCE_STOPS);
    expect(frame.basis).toBe("scene");
    expect(frame.middleGrey).toBeCloseTo(10 / 78, 12);
    expect(frame.sensor.asShotMultipliers.map((m) => Number(m.toFixed(6)))).toEqual([2, 1, 1.25]);
    expect(frame.notes).toEqual([]);
  });

  test("patches of a step wedge lie apart by their stops", async () => {
    const steps = 6;
    const patch = WIDTH / steps;
    const samples = mosaic((x) => BLACK + (0.5 / 2 ** Math.floor(x / patch)) * (WHITE - BLACK));
    const frame = await decode({ samples });
    const cells = patch / 2;
    const falls = Array.from({ length: steps }, (_, i) => {
      const box: Box = [i * cells, 0, cells, frame.height];
      return Math.log2(meanLuminance(frame, box) / frame.middleGrey);
    });
    for (const [i, fall] of falls.entries()) {
      const expected = Math.log2(0.5 / frame.middleGrey) - i;
      expect(Math.abs(fall - expected)).toBeLessThan(FALL_TOLERANCE_STOPS);
    }
  });

  test("coloured light is weighed by the camera's own matrix, not by sRGB's row", async () => {
    // A camera whose channels each see some of the other colours; rows sum to 1.
    const cameraFromSrgb = [
      [0.7, 0.25, 0.05],
      [0.15, 0.7, 0.15],
      [0.05, 0.25, 0.7],
    ];
    const scene = [0.05, 0.02, 0.5];
    const camera = cameraFromSrgb.map((row) =>
      row.reduce((sum, share, i) => sum + share * (scene[i] as number), 0),
    );
    const samples = mosaic((x, y) => BLACK + (camera[bayer(x, y)] as number) * (WHITE - BLACK));
    const frame = await decode({ samples, colourMatrix: cameraFromXyz(cameraFromSrgb) });
    const expected = SRGB_ROW.reduce((sum, share, i) => sum + share * (scene[i] as number), 0);
    expect(stopsApart(meanLuminance(frame), expected)).toBeLessThan(FALL_TOLERANCE_STOPS);
    const naive = SRGB_ROW.reduce((sum, share, i) => sum + share * (camera[i] as number), 0);
    expect(stopsApart(naive, expected)).toBeGreaterThan(0.1);
  });

  test("noise around black averages to nought, for values below black are kept", async () => {
    const samples = mosaic((x) => BLACK + (x % 4 < 2 ? 40 : -40));
    const frame = await decode({ samples });
    expect(Math.abs(meanLuminance(frame))).toBeLessThan(1e-9);
  });

  test("BaselineExposure is reported and changes no number", async () => {
    const without = await decode({});
    const frame = await decode({ baselineExposure: 1.5 });
    expect(frame.sensor.baselineExposureStops).toBe(1.5);
    expect(without.sensor.baselineExposureStops).toBeNull();
    expect(meanLuminance(frame)).toBe(meanLuminance(without));
    expect(frame.middleGrey).toBe(without.middleGrey);
  });

  test("codes above white count as saturation", async () => {
    const frame = await decode({ samples: mosaic(() => 16000), white: [12000] });
    expect(meanLuminance(frame)).toBeCloseTo(1, 6);
  });

  test("middleGrey is what the caller says", async () => {
    expect((await decode({}, { middleGrey: 0.1 })).middleGrey).toBe(0.1);
  });
});

describe("decodeRaw(dng) levels", () => {
  test("one black of the four is subtracted from its own site; scale comes from the largest", async () => {
    // Row by row: red 500, green 600, green 700, blue 800.
    const black = [500, 600, 700, 800];
    const site = (x: number, y: number): number => 2 * (y % 2) + (x % 2);
    const signal = 1000;
    const samples = mosaic((x, y) => (black[site(x, y)] as number) + signal);
    const frame = await decode({ samples, black, blackRepeat: [2, 2] });
    expect(frame.sensor.blackLevels).toEqual(black);
    expect(frame.sensor.blackFrom).toBe("dng-tags");
    expect(stopsApart(meanLuminance(frame), signal / (WHITE - 800))).toBeLessThan(1e-6);
  });

  test("the black pattern starts at the active area, also where that is odd", async () => {
    const black = [500, 600, 700, 800];
    const [top, left, bottom, right] = [3, 5, 61, 95] as const;
    const site = (x: number, y: number): number => 2 * ((y - top) & 1) + ((x - left) & 1);
    const samples = mosaic((x, y) => (black[site(x, y)] as number) + 1000);
    const frame = await decode({
      samples,
      black,
      blackRepeat: [2, 2],
      activeArea: [top, left, bottom, right],
    });
    expect(frame.channels.map(({ name }) => name)).toEqual(["red", "green 1", "green 2", "blue"]);
    expect(frame.sensor.blackLevels).toEqual(black);
    expect(channelMeans(frame)).toEqual({
      red: 1500,
      "green 1": 1600,
      "green 2": 1700,
      blue: 1800,
    });
    expect(stopsApart(meanLuminance(frame), 1000 / (WHITE - 800))).toBeLessThan(1e-6);
  });

  test("a black pattern longer than the filter cell is evened out", async () => {
    // Three columns against a cell of two: no channel has one black.
    const black = [400, 500, 600];
    const samples = mosaic((x) => (black[x % 3] as number) + 1000);
    const frame = await decode({ samples, black, blackRepeat: [1, 3] });
    expect(frame.sensor.blackLevels).toEqual([600, 600, 600, 600]);
    expect(new Set(frame.samples)).toEqual(new Set([1600]));
    expect(stopsApart(meanLuminance(frame), 1000 / (WHITE - 600))).toBeLessThan(1e-6);
  });

  test("levels of single columns and rows are added to the pattern", async () => {
    const blackDeltaH = Array.from({ length: WIDTH }, (_, x) => (x % 7) * 10);
    const blackDeltaV = Array.from({ length: HEIGHT }, (_, y) => -(y % 5) * 4);
    const samples = mosaic(
      (x, y) => BLACK + (blackDeltaH[x] as number) + (blackDeltaV[y] as number) + 1000,
    );
    const frame = await decode({ samples, blackDeltaH, blackDeltaV });
    // Largest computed black of the plane: 512 + 60 + 0.
    expect(Math.max(...frame.sensor.blackLevels)).toBe(572);
    expect(stopsApart(meanLuminance(frame), 1000 / (WHITE - 572))).toBeLessThan(1e-6);
    const naive = samples.reduce((sum, sample) => sum + sample - BLACK, 0) / samples.length;
    expect(stopsApart(naive, 1000)).toBeGreaterThan(0.02);
  });

  test("evening out black makes nothing clip and nothing unclip", async () => {
    const blackDeltaH = Array.from(
      { length: WIDTH },
      (_, x) => (x % 2 === 0 ? 0 : 50) + (x % 4) * 5,
    );
    const samples = mosaic((x, y) => (y < 8 ? WHITE : y < 16 ? WHITE - 1 : 3000 + x));
    const frame = await decode({ samples, blackDeltaH });
    const eight = (8 / 2) * (WIDTH / 2);
    expect(clippedCounts(frame)).toEqual({
      red: eight,
      "green 1": eight,
      "green 2": eight,
      blue: eight,
    });
  });

  test("white below the largest code is saturation, and counts exactly", async () => {
    const white = 15000;
    // Green reaches white on the first ten rows, red and blue one code less.
    const samples = mosaic((x, y) => (y < 10 ? (bayer(x, y) === 1 ? white : white - 1) : 4000 + x));
    const frame = await decode({ samples, white: [white] });
    expect(clippedCounts(frame)).toEqual({ red: 0, "green 1": 240, "green 2": 240, blue: 0 });
    const grey = await decode({
      samples: mosaic(() => BLACK + 0.25 * (white - BLACK)),
      white: [white],
    });
    expect(stopsApart(meanLuminance(grey), 0.25)).toBeLessThan(FALL_TOLERANCE_STOPS);
    expect(stopsApart(((WHITE - BLACK) / (white - BLACK)) * 0.25, 0.25)).toBeGreaterThan(0.1);
  });

  test("levels count after the linearisation table, whose last entry serves every code past its end", async () => {
    // Companded to 8 bits: code squared, cut at 200.
    const linearisationTable = Array.from({ length: 200 }, (_, code) => code * code);
    const samples = mosaic((x) => (x < 48 ? 100 : 255));
    const frame = await decode({
      samples,
      bits: 8,
      linearisationTable,
      black: [400],
      white: [39601],
    });
    expect([...new Set(frame.samples)].sort((a, b) => a - b)).toEqual([10_000, 39_601]);
    const box: Box = [0, 0, 24, frame.height];
    expect(stopsApart(meanLuminance(frame, box), 9600 / 39201)).toBeLessThan(1e-6);
    expect(clippedCounts(frame)["red"]).toBe(24 * 32);
    expect(frame.bits).toBe(16);
  });

  test("a DNG that states no levels has those of the specification, and says so", async () => {
    const { black: _, white: __, ...unstated } = plain;
    const frame = await decodeRaw(dngFile(unstated));
    expect(frame.sensor).toMatchObject({
      blackLevels: [0, 0, 0, 0],
      blackFrom: "dng-default",
      statedWhite: [65535, 65535, 65535, 65535],
    });
  });

  test("skipping black would show: code 2532 of 512 to 16383 is 0.127276", async () => {
    const frame = await decode({ samples: mosaic(() => 2532) });
    expect(meanLuminance(frame)).toBeCloseTo(0.127276, 6);
    expect(Math.log2(2532 / 16383 / 0.127276)).toBeCloseTo(0.28, 2);
  });
});

describe("decodeRaw(dng) white from the data", () => {
  /** Tones that thin out towards the top, then a pile at a code below the stated white. */
  const saturated = (pile: number): Uint16Array => {
    let seed = 7;
    const random = (): number => {
      seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
      return seed / 2 ** 32;
    };
    return mosaic(
      () => Math.min(pile, BLACK + (15500 - BLACK) * Math.sqrt(random()) * 1.2),
      256,
      192,
    );
  };

  test("a pile below the stated white is used and reported", async () => {
    const frame = await decode({ width: 256, height: 192, samples: saturated(15000) });
    expect(frame.sensor).toMatchObject({
      whiteFrom: "data",
      whiteLevels: [15000, 15000, 15000, 15000],
      statedWhite: [WHITE, WHITE, WHITE, WHITE],
    });
    expect(frame.notes.map(({ code }) => code)).toEqual(["white-level-from-data"]);
    expect(frame.channels[0]?.luminance[15000]).toBeCloseTo(SRGB_ROW[0], 4);
  });

  test("a stated white that is reached stands", async () => {
    const frame = await decode({
      width: 256,
      height: 192,
      samples: saturated(WHITE),
      white: [WHITE],
    });
    expect(frame.sensor.whiteFrom).toBe("metadata");
  });

  test("bright tones without an edge are no pile, nor are a drawing's flat tones", async () => {
    const flat = await decode({ samples: mosaic((x) => 3000 + 1000 * (x >> 4)) });
    expect(flat.sensor.whiteFrom).toBe("metadata");
    const ramp = await decode({ samples: mosaic((x, y) => 1000 + 2 * (y * WIDTH + x)) });
    expect(ramp.sensor.whiteFrom).toBe("metadata");
  });
});

describe("decodeRaw(dng) layout", () => {
  test.each([
    ["RGGB", [0, 1, 1, 2]],
    ["GRBG", [1, 0, 2, 1]],
    ["GBRG", [1, 2, 0, 1]],
    ["BGGR", [2, 1, 1, 0]],
  ])("%s: every site has its own colour", async (pattern, cfa) => {
    const level = [3000, 2000, 1000];
    const samples = mosaic((x, y) => level[cfa[2 * (y % 2) + (x % 2)] as number] as number);
    const frame = await decode({ samples, cfa });
    expect(frame.sensor.filters).toEqual({ kind: "bayer", pattern });
    expect(channelMeans(frame)).toEqual({
      red: 3000,
      "green 1": 2000,
      "green 2": 2000,
      blue: 1000,
    });
  });

  test("the frame is the default crop, and its odd corner moves the colours", async () => {
    const level = [3000, 2000, 1000];
    const [top, left] = [2, 4];
    // Only the crop is mid-toned; around it everything is white.
    const inside = (x: number, y: number): boolean =>
      x >= left + 3 && x < left + 43 && y >= top + 1 && y < top + 31;
    const samples = mosaic((x, y) => (inside(x, y) ? (level[bayer(x, y)] as number) : WHITE));
    const content = {
      samples,
      activeArea: [top, left, 62, 94],
      crop: { origin: [3, 1], size: [40, 30] },
    } as const;
    const frame = await decode(content);
    expect([frame.width, frame.height]).toEqual([20, 15]);
    expect(frame.sensor.filters.pattern).toBe("BGGR");
    expect(channelMeans(frame)).toEqual({
      blue: 1000,
      "green 1": 2000,
      "green 2": 2000,
      red: 3000,
    });
    expect(frame.sensor.crop).toEqual({ left: 7, top: 3, width: 40, height: 30 });
    const whole = await decode(content, { area: "active" });
    expect([whole.width, whole.height]).toEqual([45, 30]);
    expect(whole.sensor.filters.pattern).toBe("RGGB");
  });

  test("black is measured on the masked border: agreement is silent, disagreement a note", async () => {
    const border = 32;
    const samples = (black: number): Uint16Array =>
      mosaic((x, y) => (x < border ? black + ((x + y) % 3) - 1 : 3000 + x));
    const activeArea = [0, border, HEIGHT, WIDTH] as const;
    const good = await decode({ samples: samples(BLACK), activeArea });
    expect(good.notes).toEqual([]);
    expect(good.sensor.noiseFloor?.every((noise) => noise > 0.5 && noise < 1)).toBe(true);
    const bad = await decode({ samples: samples(BLACK + 100), activeArea });
    expect(bad.notes.map(({ code }) => code)).toEqual(["black-level-disagrees"]);
    expect(bad.sensor.blackLevels).toEqual([BLACK, BLACK, BLACK, BLACK]);
  });

  test("a border that sees light tells nothing of black", async () => {
    const frame = await decode({
      samples: mosaic((x, y) => 2000 + 97 * ((x * y) % 89)),
      activeArea: [0, 32, HEIGHT, WIDTH],
    });
    expect(frame.notes).toEqual([]);
    expect(frame.sensor.noiseFloor).toBeNull();
  });

  test("read noise comes from the noise profile where there is no border", async () => {
    const variance = 1e-6;
    const frame = await decode({ noiseProfile: [1e-4, variance] });
    const expected = Math.sqrt(variance) * (WHITE - BLACK);
    expect(frame.sensor.noiseFloor?.[0]).toBeCloseTo(expected, 9);
  });

  test("6 x 6 mosaics make cells of 36 samples, each colour's weight shared by its sites", async () => {
    const cfa = [..."GGRGGBGGBGGRBRGRBGGGBGGRGGRGGBRBGBRG"].map((name) => "RGB".indexOf(name));
    const level = [3000, 2000, 1000];
    const samples = mosaic((x, y) => level[cfa[6 * (y % 6) + (x % 6)] as number] as number);
    const frame = await decode({ samples, cfa, cfaRepeat: [6, 6] });
    expect(frame.sensor.filters.kind).toBe("x-trans");
    expect([frame.width, frame.height, frame.stride]).toEqual([16, 10, 36]);
    for (const [name, mean] of Object.entries(channelMeans(frame))) {
      expect(mean).toBe(level["rgb".indexOf(name.charAt(0))]);
    }
    const expected = SRGB_ROW.reduce(
      (sum, share, i) => sum + (share * ((level[i] as number) - BLACK)) / (WHITE - BLACK),
      0,
    );
    expect(stopsApart(meanLuminance(frame), expected)).toBeLessThan(FALL_TOLERANCE_STOPS);
  });

  test("a monochrome sensor has one channel and no white balance", async () => {
    const frame = await decode({
      cfa: null,
      samples: mosaic(() => BLACK + 0.2 * (WHITE - BLACK)),
      asShotNeutral: [1],
    });
    expect(frame.channels.map(({ name }) => name)).toEqual(["grey"]);
    expect([frame.width, frame.height]).toEqual([WIDTH, HEIGHT]);
    expect(stopsApart(meanLuminance(frame), 0.2)).toBeLessThan(FALL_TOLERANCE_STOPS);
  });

  test("linear DNG keeps its stored codes, with a black of each plane", async () => {
    const black = [100, 200, 300];
    const samples = Uint16Array.from(
      { length: WIDTH * HEIGHT * 3 },
      (_, i) => (black[i % 3] as number) + 2000,
    );
    const white = [16000, 16100, 16200];
    const frame = await decode({ planes: 3, samples, black, white });
    expect(channelMeans(frame)).toEqual({ red: 2100, green: 2200, blue: 2300 });
    expect(frame.sensor.filters.kind).toBe("demosaiced");
    expect(frame.notes.map(({ code }) => code)).toEqual(["raw-demosaiced"]);
    expect(stopsApart(meanLuminance(frame), 2000 / 15900)).toBeLessThan(FALL_TOLERANCE_STOPS);
  });

  test.each([1, 2, 3, 4, 5, 6, 7, 8])(
    "orientation %i is data: nothing is turned",
    async (orientation) => {
      const frame = await decode({ orientation });
      expect(frame.orientation).toBe(orientation);
      expect([frame.width, frame.height]).toEqual([WIDTH / 2, HEIGHT / 2]);
      expect([...frame.samples.subarray(0, 4)]).toEqual([2000, 2001, 2010, 2011]);
    },
  );

  test.each([
    ["lossless JPEG", { compression: "lossless-jpeg" }],
    ["big-endian", { bigEndian: true }],
    ["behind a preview", { behindPreview: true }],
  ] as const)("%s: the same samples", async (_, content) => {
    const [expected, frame] = await Promise.all([decode({}), decode(content)]);
    expect(frame.samples).toEqual(expected.samples);
    expect(frame.sensor).toEqual(expected.sensor);
  });
});

describe("decodeRaw(dng) refusals", () => {
  const code = (bytes: Uint8Array): Promise<string> =>
    decodeRaw(bytes).then(
      () => "decoded",
      (error) => error.code,
    );

  test("a file cut within its pixels is truncated; one cut before them has none", async () => {
    const bytes = dngFile(plain);
    expect(await code(bytes.subarray(0, bytes.length - 2000))).toBe("raw-truncated");
    expect(await code(bytes.subarray(0, bytes.length - 2 * WIDTH * HEIGHT))).toBe("raw-no-pixels");
  });

  test("a claim of billions of samples in a small file is refused for its missing pixels", async () => {
    expect(await code(dngFile({ ...plain, width: 46_000, height: 46_000 }))).toBe("raw-no-pixels");
    expect(await code(dngFile({ ...plain, claimedBytes: 2 ** 31 }))).toBe("raw-no-pixels");
  });

  test.each([
    [9, "VC-5"],
    [52546, "JPEG XL"],
  ])("compression %i is named in the refusal", async (compression, name) => {
    const bytes = dngFile({ ...plain, compression });
    await expect(decodeRaw(bytes)).rejects.toMatchObject({
      code: "raw-unsupported",
      message: expect.stringContaining(name),
    });
  });

  test("bytes that are no raw file are refused, and the next file is decoded", async () => {
    const noise = Uint8Array.from({ length: 5000 }, (_, i) => (i * 97 + 13) & 255);
    expect(await code(noise)).toBe("raw-unsupported");
    expect((await decode({})).width).toBe(WIDTH / 2);
  });

  test("every prefix of a file ends in a result or a code", async () => {
    const bytes = dngFile(plain);
    for (let length = 0; length < 700; length += 23) {
      expect(await code(bytes.subarray(0, length))).toMatch(/^raw-|decode-failed/);
    }
  });

  test("a damaged directory ends in a result or a code", async () => {
    const bytes = dngFile(plain);
    for (let at = 8; at < 330; at += 6) {
      const damaged = bytes.slice();
      damaged[at] = (damaged[at] as number) ^ 0xff;
      expect(await code(damaged)).toMatch(/^raw-|^decode|^too-large/);
    }
  });
});

describe("decodeRaw(dng) of damaged pixels that can be unpacked all the same", () => {
  const WIDE = 320;
  const wide = (bits: number): DngContent => ({
    ...{ width: WIDE, height: 32, black: [512], white: [2 ** bits - 1], asShotNeutral: [1, 1, 1] },
    samples: Uint16Array.from({ length: WIDE * 32 }, (_, i) => 1000 + ((i * 7919) % 3001)),
  });
  const notes = async (bytes: Uint8Array): Promise<string[]> =>
    (await decodeRaw(bytes)).notes.map(({ code, message }) => `${code}: ${message}`);
  const changed = (bytes: Uint8Array, offset: number, by: readonly number[]): Uint8Array => {
    const copy = bytes.slice();
    copy.set(by, offset);
    return copy;
  };

  test("what the decoder says of faults becomes a note", async () => {
    const whole = dngFile({ ...wide(14), compression: "lossless-jpeg" });
    expect(await notes(whole)).toEqual([]);
    // A marker where none may stand ends the data for the decoder.
    const middle = whole.length - 4000;
    const damaged = await notes(changed(whole, middle, Array(16).fill(0xff)));
    expect(damaged.join()).toMatch(/^decoded-with-warnings: .*the decoder found faults/);
  });

  test("a part of JPEG data that does not begin so is refused, for the decoder stops there", async () => {
    const whole = dngFile({ ...wide(14), compression: "lossless-jpeg" });
    const start = Buffer.from(whole).lastIndexOf(Buffer.from([0xff, 0xd8, 0xff, 0xc4]));
    await expect(decodeRaw(changed(whole, start, [0, 0]))).rejects.toMatchObject({
      code: "decode-failed",
      message: expect.stringContaining("part 1 of 1"),
    });
  });

  test("a block of zeros is a note where black lies above 0, wherever it falls, and a shorter run is none", async () => {
    const whole = dngFile(wide(14));
    const pixels = whole.length - 2 * WIDE * 32;
    for (const row of [2, 9.3]) {
      const block = pixels + 2 * Math.round(row * WIDE);
      const [note = ""] = await notes(changed(whole, block, Array(512).fill(0)));
      expect(note).toMatch(/^decoded-with-warnings: .*zeros lie below the black level/);
    }
    expect(await notes(changed(whole, pixels, Array(2 * 127).fill(0)))).toEqual([]);
    const blackless = dngFile({ ...wide(14), black: [0] });
    expect(await notes(changed(blackless, pixels, Array(512).fill(0)))).toEqual([]);
  });

  test("a code that no sensor of the stated white writes is a note", async () => {
    const whole = dngFile(wide(12));
    const pixels = whole.length - 2 * WIDE * 32;
    expect(await notes(changed(whole, pixels, [0, 32]))).toEqual([]);
    const [note = ""] = await notes(changed(whole, pixels, [1, 32]));
    expect(note).toMatch(/^decoded-with-warnings: .*code of 8193 lies far above/);
  });
});

/** The DNG matrix (XYZ to camera) of a camera that is known by its channels' shares of linear sRGB. */
function cameraFromXyz(cameraFromSrgb: readonly (readonly number[])[]): number[] {
  return cameraFromSrgb.flatMap((row) =>
    [0, 1, 2].map((column) =>
      row.reduce((sum, share, i) => sum + share * (SRGB_FROM_XYZ[3 * i + column] as number), 0),
    ),
  );
}
