import { rm } from "node:fs/promises";
import { join } from "node:path";
import { type CardResult, measureBracket, measureCard } from "@tonefall/grader";
import sharp, { type Exif } from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { normal, RENDERINGS, type Rendering, random, srgb, writeBracket } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";

/** Rounding to 8 bits, and the noise of a whole card. */
const TOLERANCE = 0.02;

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

const AUTOMATIC = { ExposureProgram: "3", ExposureMode: "0", ExposureBiasValue: "0/1" };
const MANUAL = { ExposureProgram: "1", ExposureMode: "1", ExposureBiasValue: "0/1" };

/** Writes a card of a luminance; the light may change from left to right by so many stops. */
async function card(
  name: string,
  luminance: number,
  {
    tilt = 0,
    exif = AUTOMATIC as Record<string, string>,
    camera = {},
    rendering = null as Rendering | null,
  } = {},
): Promise<string> {
  const [width, height] = [120, 80];
  const noise = random(luminance * 1e6);
  const samples = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) {
    const light = luminance * 2 ** (tilt * (((i % width) + 0.5) / width - 0.5));
    for (let c = 0; c < 3; c++) {
      const code = rendering ? rendering(light, c) : 255 * srgb(light);
      samples[3 * i + c] = Math.min(255, Math.max(0, Math.round(code + normal(noise))));
    }
  }
  const metadata: Exif = {
    IFD0: { Make: "Tonefall", Model: "Test camera", Software: "1.0", ...camera },
    IFD2: { ExposureTime: "1/60", FNumber: "56/10", ISOSpeedRatings: "160", ...exif },
  };
  const path = join(folder, name);
  await sharp(samples, { raw: { width, height, channels: 3 } })
    .withExif(metadata)
    .png()
    .toFile(path);
  return path;
}

const rendered = ({ kit }: CardResult): { code: number; stops: number; uncertainty: number } => {
  const found = kit?.middleGrey?.rendered;
  if (!found) throw new Error("no rendered middle grey");
  return found;
};

describe("measureCard", () => {
  test("finds where a metered grey card was rendered, and the departure from the meter", async () => {
    const result = await measureCard([
      await card("a.png", 0.18 * 2 ** -0.4),
      await card("b.png", 0.18 * 2 ** -0.36),
    ]);
    expect(rendered(result).stops).toBeCloseTo(-0.38, 1);
    expect(Math.abs(rendered(result).stops + 0.38)).toBeLessThan(TOLERANCE);
    expect(rendered(result).code).toBeCloseTo(255 * srgb(0.18 * 2 ** -0.38), 0);
    expect(result.departure).toBeCloseTo(-0.38, 1);
    // 0.04 stop apart: 0.028 as standard deviation.
    expect(result.agreement).toBeCloseTo(0.028, 2);
    expect(result.kit?.camera).toEqual({ make: "Tonefall", model: "Test camera" });
    expect(result.kit?.iso).toEqual({ from: 160, to: 160 });
  });

  test("takes compensation away where the camera followed its meter", async () => {
    const result = await measureCard([
      await card("plus.png", 0.36, { exif: { ...AUTOMATIC, ExposureBiasValue: "1/1" } }),
    ]);
    expect(Math.abs(rendered(result).stops)).toBeLessThan(TOLERANCE);
    expect(Math.abs(result.departure as number)).toBeLessThan(TOLERANCE);
  });

  test("takes other cards by their reflectance where the exposure was set by hand", async () => {
    const result = await measureCard([await card("white.png", 0.9, { exif: MANUAL })], {
      reflectance: 0.9,
    });
    expect(Math.abs(rendered(result).stops)).toBeLessThan(TOLERANCE);
    expect(result.departure).toBeNull();
    // Without a curve, a tone so far from middle grey says less of it.
    const grey = await measureCard([await card("grey.png", 0.18, { exif: MANUAL })]);
    expect(rendered(result).uncertainty).toBeGreaterThan(rendered(grey).uncertainty);
  });

  test("takes a white card for grey where the meter saw it so", async () => {
    const result = await measureCard([await card("metered white.png", 0.18)], { reflectance: 0.9 });
    expect(Math.abs(rendered(result).stops)).toBeLessThan(TOLERANCE);
  });

  test("refuses a card with a tilt of 0.3 stop, and says so", async () => {
    const { kit, refusal, frames } = await measureCard([
      await card("tilted.png", 0.18, { tilt: 0.3 }),
    ]);
    expect(kit).toBeNull();
    expect(refusal).toMatchObject({
      code: "kit-refused",
      message: expect.stringMatching(/0\.30 stop/),
    });
    expect(frames[0]?.tilt).toBeCloseTo(0.3, 1);
  });

  test("keeps a card with a tilt of 0.1 stop, and is less sure of it", async () => {
    const even = await measureCard([await card("even.png", 0.18)]);
    const tilted = await measureCard([await card("a little.png", 0.18, { tilt: 0.1 })]);
    expect(tilted.refusal).toBeNull();
    expect(tilted.frames[0]?.tilt).toBeCloseTo(0.1, 1);
    expect(rendered(tilted).uncertainty).toBeGreaterThan(rendered(even).uncertainty);
  });

  test("refuses a clipped card, and a region that holds more than the card", async () => {
    const clipped = await measureCard([await card("clipped.png", 1.5)]);
    expect(clipped.refusal?.message).toMatch(/clipped/);
    const path = join(folder, "two tones.png");
    await sharp({ create: { width: 120, height: 80, channels: 3, background: "#757575" } })
      .composite([
        {
          input: { create: { width: 40, height: 80, channels: 3, background: "#ffffff" } },
          left: 40,
          top: 0,
        },
      ])
      .png()
      .toFile(path);
    expect((await measureCard([path])).refusal?.code).toBe("kit-refused");
    const region = "box:0,0,0.3,1";
    expect((await measureCard([path], { region })).refusal).toBeNull();
  });

  test("refuses frames that disagree, and frames of two cameras", async () => {
    const paths = [await card("x.png", 0.18), await card("y.png", 0.3)];
    expect((await measureCard(paths)).refusal?.message).toMatch(/apart/);
    const other = await card("z.png", 0.18, { camera: { Model: "Other" } });
    await expect(measureCard([paths[0] as string, other])).rejects.toMatchObject({
      code: "kit-mixed",
    });
  });

  test("completes a bracket's kit through its curve", async () => {
    const rendering = RENDERINGS["a steep S-curve"] as Rendering;
    const bracket = await measureBracket(
      await writeBracket(join(folder, "bracket"), 7, () => ({ rendering })),
    );
    // A card one stop of light above middle grey, as its reflectance says, in a rendering that shows it as more.
    const path = await card("bright card.png", 0.36, { exif: MANUAL, rendering });
    const options = { reflectance: 0.36 };
    const { kit } = await measureCard([path], {
      ...options,
      ...(bracket.kit ? { kit: bracket.kit } : {}),
    });
    expect(Math.abs(kit?.middleGrey?.rendered?.stops as number)).toBeLessThan(0.05);
    expect(kit?.curve).toEqual(bracket.kit?.curve);
    expect(kit?.measured.how).toEqual(["bracket", "card"]);
  });

  test.each([0, -1, 1.5, Number.NaN])("throws for a reflectance of %s", async (reflectance) => {
    await expect(measureCard(["any.png"], { reflectance })).rejects.toMatchObject({
      code: "bad-option",
    });
  });
});
