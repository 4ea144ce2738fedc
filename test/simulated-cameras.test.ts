import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { meteredBy, randomMeter } from "../packages/grader/bench/simulation/bodyMeter.ts";
import { bodyCodes, bodyJpeg } from "../packages/grader/bench/simulation/cameraBody.ts";
import {
  type FamilyCamera,
  familyCamera,
  lightShownAs,
} from "../packages/grader/bench/simulation/familyCamera.ts";
import { seededRandom } from "../packages/grader/bench/simulation/random.ts";
import { CURVE_FAMILIES } from "../packages/grader/bench/simulation/renderingCurve.ts";
import {
  blankRecord,
  simulatedPlace,
  takeAndGrade,
} from "../packages/grader/bench/simulation/simulatedCamera.ts";
import {
  HEIGHT,
  simulatedScene,
  underUnevenLight,
  WIDTH,
} from "../packages/grader/bench/simulation/simulatedScene.ts";
import { linear } from "./srgb.ts";

const CAMERAS = 40;
const PIXELS = WIDTH * HEIGHT;
const stopsOf = (shown: number): number => Math.log2(shown / 0.18);

describe.each(CURVE_FAMILIES)("cameras of the family %s", (family) => {
  const random = seededRandom(7);
  const cameras = Array.from({ length: CAMERAS }, () => familyCamera(random, family));

  test("rise from black to white, and know their own contrast and middle grey", () => {
    for (const { body, contrast, middleGrey } of cameras) {
      const shown = Array.from({ length: 200 }, (_, i) => body.curve.shown(-12 + i / 10));
      expect(shown).toEqual(shown.toSorted((a, b) => a - b));
      expect(body.curve.shown(5)).toBeCloseTo(1, 6);
      expect(body.curve.shown(Number.NEGATIVE_INFINITY)).toBe(0);
      expect(stopsOf(body.curve.shown(0))).toBeCloseTo(middleGrey, 6);
      expect(contrast).toBeGreaterThan(0.99);
      expect(contrast).toBeLessThan(1.81);
    }
  });

  test("reach white between 2.5 and 3.5 stops, but for plain ones that clip before", () => {
    const whites = cameras.map(({ body }) => {
      let stops = 0;
      while (body.curve.shown(stops) < linear(254.5)) stops += 0.05;
      return stops;
    });
    expect(Math.max(...whites)).toBeLessThan(3.6);
    if (family !== "hard-clip") expect(Math.min(...whites)).toBeGreaterThan(2.1);
  });

  test("have an inverse", () => {
    for (const camera of cameras) {
      for (const shown of [-3, 0, 1.5]) {
        const light = lightShownAs(camera, shown);
        expect(stopsOf(camera.body.curve.shown(light))).toBeCloseTo(shown, 4);
      }
    }
  });
});

test("a straight camera has the inverse of its line", () => {
  expect(lightShownAs({ model: "A", contrast: 1.25, middleGrey: 0.5 }, 3)).toBe(2);
});

/** A camera without noise, flare, tint and vignetting but for what is given. */
function plainBody(more: Partial<FamilyCamera["body"]>): FamilyCamera["body"] {
  const { body } = familyCamera(seededRandom(3), "hard-clip");
  const none = { noise: 0, flareShare: 0, tint: [1, 1, 1], vignettingStops: 0 } as const;
  return {
    ...body,
    curve: { family: "hard-clip", shown: (stops) => 0.18 * 2 ** stops },
    ...none,
    ...more,
  };
}

describe("what a body does to light", () => {
  const grey = new Float64Array(PIXELS);

  test("nothing: middle grey is code 118 in every channel", () => {
    expect(new Set(bodyCodes(plainBody({}), grey, 0, 0))).toEqual(new Set([118]));
  });

  test("vignetting takes its stops from the corners and none from the centre", () => {
    const codes = bodyCodes(plainBody({ vignettingStops: 0.8 }), grey, 0, 0);
    const centre = 3 * ((HEIGHT / 2) * WIDTH + WIDTH / 2);
    expect(stopsOf(linear(codes[centre] as number))).toBeCloseTo(0, 1);
    expect(stopsOf(linear(codes[0] as number))).toBeCloseTo(-0.8, 1);
  });

  test("flare lifts black by its share of the brightest light", () => {
    const half = Float64Array.from(grey, (_, pixel) => (pixel < PIXELS / 2 ? 2 : -20));
    const codes = bodyCodes(plainBody({ flareShare: 1 / 64 }), half, 0, 0);
    expect(stopsOf(linear(codes.at(-1) as number))).toBeCloseTo(-4, 1);
  });

  test("tint and noise keep the mean luminance", () => {
    const { body } = familyCamera(seededRandom(5), "logistic");
    const codes = bodyCodes(plainBody({ tint: body.tint, noise: 0.04 }), grey, 0, 0);
    let light = 0;
    for (let i = 0; i < codes.length; i += 3) {
      const [red, green, blue] = codes.subarray(i, i + 3);
      light +=
        0.2126 * linear(red as number) +
        0.7152 * linear(green as number) +
        0.0722 * linear(blue as number);
    }
    expect(stopsOf(light / PIXELS)).toBeCloseTo(0, 1);
  });

  test("its JPEG has its size and subsampling, and its tone", async () => {
    const body = plainBody({ jpeg: { quality: 80, chromaSubsampling: "4:2:0" } });
    const file = await bodyJpeg(body, bodyCodes(body, grey, -1, 0));
    const { width, height, chromaSubsampling } = await sharp(file).metadata();
    expect([width, height, chromaSubsampling]).toEqual([WIDTH, HEIGHT, "4:2:0"]);
    const { channels } = await sharp(file).stats();
    expect(stopsOf(linear(channels[1]?.mean as number))).toBeCloseTo(-1, 1);
  });
});

test("a meter reads an even scene as its tone and its calibration, by every pattern", () => {
  const random = seededRandom(9);
  const even = new Float64Array(PIXELS).fill(-1.5);
  for (let body = 0; body < 20; body++) {
    const meter = randomMeter(random);
    for (const pattern of [
      "spot",
      "partial",
      "centre-weighted",
      "average",
      "multi-segment",
    ] as const) {
      expect(meteredBy(meter, even, pattern)).toBeCloseTo(-1.5 + meter.calibrationStops, 9);
    }
  }
});

test("uneven light leaves the middle as it was", () => {
  const random = seededRandom(11);
  const scene = simulatedScene(random, -1, -1);
  const uneven = underUnevenLight(random, scene);
  const changes = uneven.tones.map((tone, pixel) => tone - (scene.tones[pixel] as number));
  const middle = changes[(HEIGHT / 2) * WIDTH + WIDTH / 2] as number;
  expect(Math.abs(middle)).toBeLessThan(0.03);
  expect(Math.max(...changes) - Math.min(...changes)).toBeGreaterThan(0.1);
  expect(Math.max(...changes)).toBeLessThan(0.6);
});

test("a subject placed by its own camera falls where it was wanted, in every family", async () => {
  const blank = await blankRecord();
  const random = seededRandom(13);
  for (const family of CURVE_FAMILIES) {
    const camera = familyCamera(random, family);
    const scene = simulatedScene(random, -1, -1);
    const exposure = lightShownAs(camera, -1) + 1;
    const place = simulatedPlace(random);
    const row = takeAndGrade({ scene, camera, place, exposure, record: null }, blank);
    // The shutter goes in thirds, and a steep curve makes them half a stop of the picture.
    expect(Math.abs((row.fall?.stops ?? 9) + 1), family).toBeLessThan(0.35);
    expect(row.picture?.colour).toContain("sRGB");
  }
});
