import { readFileSync } from "node:fs";
import { type MeterOptions, meterFrame, type Reading } from "@tonefall/grader";
import sharp, { type Sharp } from "sharp";
import { describe, expect, test } from "vitest";
import { flat, picture } from "./pictures.ts";
import { linear, nearestCode } from "./srgb.ts";

interface Published {
  readonly id: string;
  readonly expected: number | readonly number[];
  readonly tolerance: number;
}
const table = JSON.parse(
  readFileSync(new URL("reference/published-values.json", import.meta.url), "utf8"),
) as readonly Published[];

function published(id: string): Published {
  return table.find((row) => row.id === id) as Published;
}

const MIDDLE_GREY = 0.18;
const PATTERNS = ["spot", "partial", "centre-weighted", "average", "multi-segment"];

/** A disc is made of whole pixels: its area is right within about a part in two hundred at these sizes. */
const EDGE_TOLERANCE_STOPS = 0.02;

/** Readings by pattern, of a picture as PNG: lossless, so that every tone is known. */
async function readingsOf(
  source: Sharp,
  options: MeterOptions = {},
): Promise<Readonly<Record<string, Reading>>> {
  const { readings, failure } = await meterFrame(await source.png().toBuffer(), {}, options);
  expect(failure).toBeNull();
  return Object.fromEntries(readings.map((reading) => [reading.pattern, reading]));
}

function stopsOf(luminance: number): number {
  return Math.log2(luminance / MIDDLE_GREY);
}

/** A bright disc of a share of the picture's area at its centre, dark around. */
function disc(width: number, height: number, share: number): Sharp {
  const radius = Math.sqrt((share * width * height) / Math.PI);
  return picture(width, height, (x, y) => {
    const inside = Math.hypot(x + 0.5 - width / 2, y + 0.5 - height / 2) <= radius;
    return inside ? [BRIGHT, BRIGHT, BRIGHT] : [DARK, DARK, DARK];
  });
}
const [DARK, BRIGHT] = [50, 200];
const [dark, bright] = [linear(DARK), linear(BRIGHT)];

describe("every pattern", () => {
  test.each([3, 60, 118, 221])("reads one tone as that tone: code %i", async (code) => {
    const readings = await readingsOf(flat(code, 90, 60));
    expect(Object.keys(readings)).toEqual(PATTERNS);
    for (const { stops, bound } of Object.values(readings)) {
      expect(stops).toBeCloseTo(stopsOf(linear(code)), 4);
      expect(bound).toBeNull();
    }
  });

  // Common practice: a reflected-light meter sees tones and not colours.
  test("reads red and green of one luminance alike, alone and side by side", async () => {
    const red = [230, 0, 0];
    const green = [0, nearestCode((0.2126 * linear(230)) / 0.7152), 0];
    const gap = stopsOf(0.7152 * linear(green[1] as number)) - stopsOf(0.2126 * linear(230));
    expect(Math.abs(gap)).toBeLessThan(0.02);
    const fields = await Promise.all([
      readingsOf(picture(120, 80, () => red)),
      readingsOf(picture(120, 80, () => green)),
      readingsOf(picture(120, 80, (x, y) => ((x + y) % 2 === 0 ? red : green))),
    ]);
    for (const pattern of PATTERNS) {
      const [one, other, mixed] = fields.map((readings) => readings[pattern]?.stops ?? Number.NaN);
      expect((other as number) - (one as number)).toBeCloseTo(gap, 3);
      expect(Math.abs((mixed as number) - (one as number))).toBeLessThan(Math.abs(gap) + 1e-3);
    }
  });

  test.each([1, 2, 3, 4, 5, 6, 7, 8])(
    "reads the upright picture whatever the stored one's orientation: %i",
    async (orientation) => {
      const upright = picture(90, 60, (x, y) => [20 + 2 * x, 30 + 3 * y, 90]);
      const stored = await sharp(await upright.png().toBuffer()).toBuffer();
      // `sharp` turns by the tag, so the inverse tag lays the upright picture into storage.
      const inverse = orientation === 6 ? 8 : orientation === 8 ? 6 : orientation;
      const laid = await sharp(await tagged(stored, inverse))
        .rotate()
        .png()
        .toBuffer();
      const spot = { x: 0.3, y: 0.6 };
      const expected = await readingsOf(sharp(await tagged(stored, 1)).keepMetadata(), { spot });
      const { readings } = await meterFrame(await tagged(laid, orientation), {}, { spot });
      expect(readings.map(({ pattern }) => pattern)).toEqual(PATTERNS);
      for (const { pattern, stops } of readings) {
        expect(stops, pattern).toBeCloseTo(expected[pattern]?.stops ?? Number.NaN, 6);
      }
    },
  );

  test("a region that fell says where it would have fallen: fall minus reading", async () => {
    const bytes = await disc(300, 200, 0.05).png().toBuffer();
    const { fall, readings } = await meterFrame(bytes, { region: "circle:0.5,0.5,0.05" });
    expect(fall?.stops).toBeCloseTo(stopsOf(bright), 6);
    expect(readings).toHaveLength(PATTERNS.length);
    for (const { stops, fallIfFollowed } of readings) {
      expect(fallIfFollowed?.stops).toBeCloseTo((fall?.stops ?? Number.NaN) - stops, 12);
    }
  });

  test("large frames are read from some of their rows, to a hundredth of a stop", async () => {
    const large = picture(3600, 2600, (x, y) => [(x * 230) / 3600, (y * 230) / 2600, 120]);
    const { fall, readings } = await meterFrame(await large.png().toBuffer());
    const average = readings.find(({ pattern }) => pattern === "average");
    expect(Math.abs((average?.stops ?? Number.NaN) - (fall?.stops ?? 0))).toBeLessThan(0.01);
  });
});

describe("areas and weights", () => {
  // A disc of 5 % holds the spot whole, and is a part of every larger area.
  const SHARE = 0.05;

  test.each([
    { pattern: "spot", inside: 1 },
    { pattern: "partial", inside: SHARE / 0.085 },
    { pattern: "centre-weighted", inside: (0.75 * SHARE) / ((Math.PI * 6 ** 2) / (36 * 24)) },
    { pattern: "average", inside: SHARE },
  ])("$pattern weighs a central disc of 5 % by its share", async ({ pattern, inside }) => {
    const readings = await readingsOf(disc(600, 400, SHARE));
    const expected = stopsOf(inside * bright + (1 - inside) * dark);
    expect(Math.abs((readings[pattern]?.stops ?? Number.NaN) - expected)).toBeLessThan(
      EDGE_TOLERANCE_STOPS,
    );
  });

  test("the centre-weighted circle has the published share of 36 x 24 mm", async () => {
    const { expected, tolerance } = published("metering.circle.12.36");
    const [inside] = published("metering.cw.7525").expected as readonly number[];
    const readings = await readingsOf(disc(1200, 800, SHARE));
    const light = MIDDLE_GREY * 2 ** (readings["centre-weighted"]?.stops ?? Number.NaN);
    const weight = (light - dark) / (bright - dark);
    const share = ((inside as number) * SHARE) / weight;
    expect(Math.abs(share - (expected as number))).toBeLessThan(tolerance);
  });

  // 12 mm on 36 x 24 mm, carried to any format by its diagonal; three quarters of the weight: common practice.
  test.each([
    { width: 600, height: 400 },
    { width: 640, height: 480 },
    { width: 400, height: 400 },
    { width: 400, height: 600 },
  ])("centre-weighted gives its circle 75 % on $width x $height", async ({ width, height }) => {
    const radius = (6 / Math.hypot(36, 24)) * Math.hypot(width, height);
    const share = (Math.PI * radius ** 2) / (width * height);
    const readings = await readingsOf(disc(width, height, share));
    const expected = stopsOf(0.75 * bright + 0.25 * dark);
    expect(readings["centre-weighted"]?.stops).toBeCloseTo(expected, 2);
  });

  test("the spot goes where it is told, in the size it is told", async () => {
    const halves = picture(200, 100, (x) =>
      x < 100 ? [DARK, DARK, DARK] : [BRIGHT, BRIGHT, BRIGHT],
    );
    const at = async (options: MeterOptions): Promise<number> =>
      (await readingsOf(halves, options))["spot"]?.stops ?? Number.NaN;
    expect(await at({ spot: { x: 0.25, y: 0.5 } })).toBeCloseTo(stopsOf(dark), 4);
    expect(await at({ spot: { x: 0.75, y: 0.5 } })).toBeCloseTo(stopsOf(bright), 4);
    expect(await at({ spot: { x: 1, y: 1 } })).toBeCloseTo(stopsOf(bright), 4);
    expect(await at({})).toBeCloseTo(stopsOf((dark + bright) / 2), 4);
    const small = { spot: { x: 0.44, y: 0.5 } };
    expect(await at({ ...small, spotShare: 0.005 })).toBeCloseTo(stopsOf(dark), 4);
    expect(await at({ ...small, spotShare: 0.2 })).toBeGreaterThan(stopsOf(dark) + 0.5);
  });

  test("multi-segment says that it is an estimate, and a lamp rules it less than an average", async () => {
    const lamp = picture(300, 210, (x, y) =>
      x < 100 && y < 70 ? [254, 254, 254] : [DARK, DARK, DARK],
    );
    const readings = await readingsOf(lamp);
    expect(PATTERNS.filter((pattern) => readings[pattern]?.estimate)).toEqual(["multi-segment"]);
    const { average, "multi-segment": segments } = readings;
    expect(segments?.stops).toBeGreaterThan(stopsOf(dark));
    expect(segments?.stops ?? 9).toBeLessThan((average?.stops ?? -9) - 0.5);
    // One cell of nine, a tenth of the weight, lies on the lamp.
    const expected = (9 * stopsOf(dark) + stopsOf(linear(254))) / 10;
    expect(segments?.stops).toBeCloseTo(expected, 4);
  });
});

describe("the ends of the scale", () => {
  test("a clipped part over 1 % makes the readings that see it bounds, and only those", async () => {
    const window = picture(200, 100, (x) => (x < 20 ? [255, 255, 255] : [DARK, DARK, DARK]));
    const readings = await readingsOf(window);
    expect(readings["spot"]?.bound).toBeNull();
    expect(readings["partial"]?.bound).toBeNull();
    // A tenth of the frame, a quarter of the weight.
    expect(readings["centre-weighted"]?.bound).toBe("at least");
    expect(readings["average"]?.bound).toBe("at least");
    expect(readings["multi-segment"]?.bound).toBe("at least");
  });

  test("a fall that is a bound against a reading that is one leaves nothing to say", async () => {
    const window = picture(200, 100, (x) => (x < 20 ? [255, 255, 255] : [DARK, DARK, DARK]));
    const bytes = await window.png().toBuffer();
    const followed = async (region: string): Promise<Readonly<Record<string, unknown>>> => {
      const { readings } = await meterFrame(bytes, { region });
      return Object.fromEntries(
        readings.map((reading) => [reading.pattern, reading.fallIfFollowed?.bound]),
      );
    };
    expect(await followed("box:0,0,0.1,1")).toMatchObject({ spot: "at least", average: undefined });
    expect(await followed("spot")).toMatchObject({ spot: null, average: "at most" });
  });

  test("black is at most as light as the scale goes down", async () => {
    const readings = await readingsOf(flat(0, 90, 60));
    for (const { stops, bound } of Object.values(readings)) {
      expect(bound).toBe("at most");
      expect(stops).toBeCloseTo(stopsOf(linear(1) / 2), 2);
    }
  });

  test("a picture too small for its spot has no spot reading, and is no failure", async () => {
    const readings = await readingsOf(flat(118, 2, 2));
    expect(Object.keys(readings)).toEqual(["centre-weighted", "average", "multi-segment"]);
    expect(Object.keys(await readingsOf(flat(118, 1, 1)))).toEqual(PATTERNS);
  });

  test("transparent pixels are not metered", async () => {
    const sheet = sharp({
      create: {
        width: 40,
        height: 40,
        channels: 4,
        background: { r: 118, g: 118, b: 118, alpha: 0 },
      },
    }).composite([
      {
        input: await flat(118, 20, 40).png().toBuffer(),
        left: 0,
        top: 0,
      },
    ]);
    const readings = await readingsOf(sheet);
    for (const { stops } of Object.values(readings)) expect(stops).toBeCloseTo(0.0093, 2);
  });

  test.each([
    { spot: { x: 1.2, y: 0.5 } },
    { spot: { x: 0.5, y: Number.NaN } },
    { spotShare: 0 },
    { spotShare: 3 },
  ])("refuses a spot of %j", async (options) => {
    await expect(meterFrame(await flat(118).png().toBuffer(), {}, options)).rejects.toMatchObject({
      code: "bad-option",
    });
  });
});

async function tagged(bytes: Buffer, orientation: number): Promise<Buffer> {
  return sharp(bytes).withMetadata({ orientation }).png().toBuffer();
}
