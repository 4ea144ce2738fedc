import { mkdir, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { gradeFrame, measurePairs } from "@tonefall/grader";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { normal, RENDERINGS, type Rendering, random, trueStops } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";
import { dngFile } from "./raw/dngFile.ts";

const [BLACK, WHITE] = [512, 16383];
const SIZE = 240;

/** Share of saturation that the made camera renders as middle grey. */
const SENSOR_GREY = 0.1;

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

/** Writes the raw and the rendered file of one shot of grey patches; the rendering may be lightened by so many stops. */
async function writeShot(
  name: string,
  rendering: Rendering,
  lightened = 0,
  seed = 1,
): Promise<string[]> {
  const source = random(seed);
  const patches = Array.from({ length: 225 }, () => 2 ** (-7 * source()));
  const patchAt = (x: number, y: number): number =>
    patches[Math.floor((y * 15) / SIZE) * 15 + Math.floor((x * 15) / SIZE)] as number;
  const samples = Uint16Array.from({ length: SIZE * SIZE }, (_, i) =>
    Math.round(
      BLACK + (WHITE - BLACK) * 0.9 * patchAt(i % SIZE, Math.floor(i / SIZE)) + 4 * normal(source),
    ),
  );
  const pixels = new Uint8Array(SIZE * SIZE * 3);
  for (let i = 0; i < SIZE * SIZE; i++) {
    const light =
      (0.18 * 0.9 * patchAt(i % SIZE, Math.floor(i / SIZE)) * 2 ** lightened) / SENSOR_GREY;
    for (let c = 0; c < 3; c++) {
      const code = rendering(light, c) + 1.2 * normal(source);
      pixels[3 * i + c] = Math.max(0, Math.min(255, Math.round(code)));
    }
  }
  await mkdir(folder, { recursive: true });
  const paths = [join(folder, `${name}.dng`), join(folder, `${name}.png`)];
  const content = { width: SIZE, height: SIZE, samples, black: [BLACK], white: [WHITE] };
  await writeFile(paths[0] as string, dngFile({ ...content, asShotNeutral: [1, 1, 1] }));
  await sharp(pixels, { raw: { width: SIZE, height: SIZE, channels: 3 } })
    .png()
    .toFile(paths[1] as string);
  return paths;
}

describe("measurePairs", () => {
  test.each(["plain sRGB", "an S-curve", "a shoulder"])(
    "learns %s and the sensor's middle grey",
    async (name) => {
      const rendering = RENDERINGS[name] as Rendering;
      const paths = [
        ...(await writeShot(`${name} 1`, rendering, 0, 3)),
        ...(await writeShot(`${name} 2`, rendering, 0, 4)),
      ];
      const { kit, frames } = await measurePairs(paths);
      expect(frames.map(({ included }) => included)).toEqual([true, true]);
      const points = kit?.curve?.luminance ?? [];
      const zero = points.find(({ code }) => code === 118)?.stops as number;
      const told = points.filter(({ code }) => code >= 30 && code <= 225);
      expect(told.length).toBeGreaterThan(150);
      for (const { code, stops } of told) {
        const error = stops - zero - trueStops(rendering, 1, code, 118);
        // Steps of light are coarser than those of a bracket.
        expect(Math.abs(error), `code ${code}`).toBeLessThan(0.08);
      }
      const share = kit?.middleGrey?.sensor?.shareOfSaturation as number;
      // The made camera shows this share as the code that the curve gives 18 % of light.
      const shown = trueStops(rendering, 1, 117.6, rendering(0.18, 1));
      expect(Math.abs(Math.log2(share / SENSOR_GREY) - shown)).toBeLessThan(0.06);
    },
  );

  test("leaves out the shot that was toned by itself", async () => {
    const rendering = RENDERINGS["an S-curve"] as Rendering;
    const paths = (
      await Promise.all(
        [0, 0.5, 0, 0].map((lift, i) => writeShot(`toned ${i}`, rendering, lift, 10 + i)),
      )
    ).flat();
    const { kit, frames } = await measurePairs(paths);
    expect(frames.map(({ included }) => included)).toEqual([true, false, true, true]);
    expect(kit?.measured).toMatchObject({ how: ["pairs"], frames: 3 });
  });

  test("gives raw files of the kit its middle grey", async () => {
    const rendering = RENDERINGS["plain sRGB"] as Rendering;
    const paths = await writeShot("raw", rendering, 0, 21);
    const { kit } = await measurePairs(paths);
    if (!kit) throw new Error("no kit");
    // The test's rendered file names no camera, its raw file does: only what both know is compared.
    const known = { ...kit, camera: { make: "Tonefall", model: "Test sensor" } };
    const raw = await gradeFrame(paths[0] as string);
    const { make, model, software } = raw.exposure ?? {};
    const own = {
      ...known,
      camera: { make: make?.value ?? null, model: model?.value ?? null },
      software: software?.value ?? null,
    };
    const graded = await gradeFrame(
      paths[0] as string,
      {},
      { kits: [{ kit: own, file: "kit.yaml" }] },
    );
    expect(graded.kit?.used).toBe("sensor-middle-grey");
    expect((graded.fall?.stops as number) - (raw.fall?.stops as number)).toBeCloseTo(
      Math.log2(10 / 78 / SENSOR_GREY),
      1,
    );
  });

  test("refuses files without partners", async () => {
    const [raw] = await writeShot("alone", RENDERINGS["plain sRGB"] as Rendering);
    await expect(measurePairs([raw as string])).rejects.toMatchObject({ code: "kit-refused" });
  });
});
