import { readFileSync } from "node:fs";
import { gradeFrame, meterFrame } from "@tonefall/grader";
import type { Exif } from "sharp";
import { describe, expect, test } from "vitest";
import { SCENE_BANDS, scenesAt } from "../packages/tone-core/src/index.ts";
import { flat } from "./pictures.ts";

interface Published {
  readonly id: string;
  readonly inputs: Readonly<Record<string, string | number>>;
  readonly expected: number | readonly number[];
  readonly tolerance: number;
}
const table = JSON.parse(
  readFileSync(new URL("reference/published-values.json", import.meta.url), "utf8"),
) as readonly Published[];
const rows = (prefix: string): Published[] => table.filter(({ id }) => id.startsWith(prefix));

function withSettings(exif: Exif["IFD2"]): Promise<Buffer> {
  return flat(118)
    .withExif({ IFD2: exif ?? {} })
    .jpeg()
    .toBuffer();
}

describe("light of usual scenes", () => {
  test.each(rows("scene.").filter(({ id }) => /\d\d$/.test(id) && id !== "scene.sunny16"))(
    "$id is in the table as published",
    ({ id, expected }) => {
      const [from, to] = expected as readonly [number, number];
      expect(SCENE_BANDS[Number(id.slice("scene.".length))]).toMatchObject({ from, to });
    },
  );

  test("every published scene is there, and no other", () => {
    expect(SCENE_BANDS).toHaveLength(rows("scene.").filter(({ id }) => /\.\d\d$/.test(id)).length);
    expect(new Set(SCENE_BANDS.map(({ name }) => name)).size).toBe(SCENE_BANDS.length);
  });

  test("a figure stands for one EV either way, and no more", () => {
    const sunlitSnow = "light sand or snow in full or slightly hazy sun";
    const names = (ev: number): string[] => scenesAt(ev).map(({ name }) => name);
    expect(names(17)).toEqual([sunlitSnow]);
    expect(names(17.01)).toEqual([]);
    expect(names(16)[0]).toBe(sunlitSnow);
    expect(names(-7)).toEqual(["landscape under a quarter moon", "aurora, medium"]);
    expect(names(-7.01)).toEqual([]);
    expect(() => scenesAt(Number.NaN)).toThrow(
      expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
    );
  });
});

describe("light that settings suit", () => {
  // evtable.L: luminance at each EV. f/1 to f/32 and 1 s to 1/1024 s reach them all from 0 on.
  test.each(rows("evtable.L.").filter(({ id }) => Number(id.split(".").at(-1)) >= 0))(
    "$id is the luminance of middle grey at those settings",
    async ({ id, expected }) => {
      const ev = Number(id.split(".").at(-1));
      const exif = { FNumber: "4/1", ExposureTime: `${2 ** 4}/${2 ** ev}`, ISOSpeedRatings: "100" };
      const { light } = await meterFrame(await withSettings(exif));
      expect(light?.ev100).toBeCloseTo(ev, 6);
      expect(light?.luminanceAtMiddleGrey).toBeCloseTo(expected as number, 6);
      expect(light?.k).toBe(12.5);
    },
  );

  test("marked settings stand for exact ones: f/16 at 1/125 is EV 15, plausible in sun", async () => {
    const exif = { FNumber: "16/1", ExposureTime: "1/125", ISOSpeedRatings: "100" };
    const { light } = await meterFrame(await withSettings(exif));
    expect(light?.ev100).toBe(15);
    expect(light?.luminanceAtMiddleGrey).toBeCloseTo(4096, 6);
    expect(light?.plausible).toBe(true);
    expect(light?.scenes[0]?.name).toBe("typical scene in full or slightly hazy sun");
  });

  // A published file's settings: 10.9 by its marks, 11 by what they stand for.
  test("f/5.6 at 1/60 is EV 11, not the 10.88 of its marks", async () => {
    const exif = { FNumber: "56/10", ExposureTime: "1/60", ISOSpeedRatings: "100" };
    const { light } = await meterFrame(await withSettings(exif));
    expect(light?.ev100).toBeCloseTo(11, 9);
    expect(light?.luminanceAtMiddleGrey).toBeCloseTo(256, 6);
  });

  test("light brighter than any published scene is told as not plausible, and is no verdict", async () => {
    const exif = { FNumber: "22/1", ExposureTime: "1/1000", ISOSpeedRatings: "100" };
    const row = await meterFrame(await withSettings(exif), { place: 0 });
    expect(row.light).toMatchObject({ scenes: [], plausible: false });
    expect(row.verdict).toBe("within");
  });

  test("flash or missing settings leave plausibility open", async () => {
    const exif = { FNumber: "8/1", ExposureTime: "1/125", ISOSpeedRatings: "100", Flash: "1" };
    expect((await meterFrame(await withSettings(exif))).light?.plausible).toBeNull();
    expect((await meterFrame(await withSettings({ FNumber: "8/1" }))).light).toBeNull();
  });
});

// What three cameras recorded of their own metering: the settings claim reproduces the published residuals.
describe("published metering residuals", () => {
  test.each(rows("bv.residual."))("$id", async ({ id, inputs, expected, tolerance }) => {
    const brightness = Number(inputs["brightnessValue"]);
    const manual = inputs["exposureMode"] === "manual";
    const fired = inputs["flash"] === "fired";
    const bytes = await withSettings({
      FNumber: `${Math.round(Number(inputs["fNumber"]) * 10)}/10`,
      ExposureTime: String(inputs["time"]),
      ISOSpeedRatings: String(inputs["iso"]),
      BrightnessValue: `${Math.round(brightness * 100)}/100`,
      ExposureMode: manual ? "1" : "0",
      ExposureProgram: manual ? "1" : "2",
      Flash: fired ? "1" : "16",
    });
    const { fall, notes } = await gradeFrame(bytes, { basis: "settings" });
    if (fired) {
      // The residual is the flash's light, not the camera's metering: the claim is withheld.
      expect(fall).toBeNull();
      expect(notes.map(({ code }) => code)).toContain("flash-fired");
      return;
    }
    expect(Math.abs((fall?.stops ?? Number.NaN) - (expected as number)), id).toBeLessThanOrEqual(
      tolerance,
    );
  });
});
