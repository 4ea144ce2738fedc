import { readFileSync } from "node:fs";
import {
  adviseNext,
  type FrameResult,
  gradeFrame,
  SCHEMA_VERSION,
  summarise,
} from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { marksOf } from "../packages/grader/src/judge/advice/cameraStep.ts";
import type { NextSettings, NextWay } from "../packages/grader/src/model/nextSettings.ts";
import { MARKED_SERIES } from "../packages/tone-core/src/index.ts";
import { flat, METERED_EXIF } from "./pictures.ts";
import { nearestCode } from "./srgb.ts";

/** A flat picture of a tone with settings, graded against a placement. */
async function graded(
  fell: number,
  place: number,
  said: Record<string, string> = {},
): Promise<FrameResult> {
  const IFD2 = { ...METERED_EXIF["IFD2"], ExposureBiasValue: "0/1", ...said };
  const bytes = await flat(nearestCode(0.18 * 2 ** fell))
    .withExif({ ...METERED_EXIF, IFD2 })
    .png()
    .toBuffer();
  return gradeFrame(bytes, { place });
}

async function next(
  fell: number,
  place: number,
  said: Record<string, string> = {},
): Promise<NextSettings> {
  return (await graded(fell, place, said)).next as NextSettings;
}

const marks = ({ ways }: NextSettings): (number | string | null)[] =>
  ways.map(({ to, reason }) => to ?? reason);
const costs = (way: NextWay | undefined): string[] => way?.costs.map(({ code }) => code) ?? [];

describe("the missing light by one setting", () => {
  const settings = { FNumber: "8/1", ExposureTime: "1/125", ISOSpeedRatings: "200" };

  test.each([
    { fell: -1, place: 0, marks: [5.6, 1 / 60, 400], stops: 1 },
    { fell: 1, place: 0, marks: [11, 1 / 250, 100], stops: -1 },
    { fell: 0, place: -1.68, marks: [14, 1 / 400, 64], stops: -5 / 3 },
    { fell: 0, place: 2, marks: [4, 1 / 30, 800], stops: 2 },
    { fell: 0, place: 0.45, marks: [7.1, 1 / 100, 250], stops: 1 / 3 },
  ])("fell $fell, placed $place: $marks", async ({ fell, place, marks: expected, stops }) => {
    const advice = await next(fell, place, settings);
    expect(advice.stops).toBeCloseTo(stops, 9);
    expect(advice.step).toBe("third");
    expect(marks(advice)).toEqual(expected);
  });

  test("by halves, where the settings are half stops", async () => {
    const halves = { FNumber: "67/10", ExposureTime: "1/90", ISOSpeedRatings: "140" };
    const advice = await next(0, 1.55, halves);
    expect([advice.step, advice.stops]).toEqual(["half", 1.5]);
    expect(marks(advice)).toEqual([4, 1 / 30, 400]);
  });

  test("by halves, where whole stops leave it open and the compensation does not", async () => {
    const advice = await next(0, 1.5, { ...settings, ExposureBiasValue: "1/2" });
    expect(advice.step).toBe("half");
  });

  test.each(["third", "half"] as const)(
    "gives what it says, by every %s mark and every setting, and never leaves the scale",
    async (step) => {
      const row = await graded(-1, 0);
      let marked = 0;
      for (const aperture of marksOf("aperture", step)) {
        for (const stops of [-4, -1.5, -0.4, 0.4, 1, 3]) {
          const exposure = row.exposure && {
            ...row.exposure,
            aperture: { value: aperture.marked, from: "test" },
            shutter: { value: marksOf("shutter", step)[20]?.marked as number, from: "test" },
            iso: { value: marksOf("iso", step)[20]?.marked as number, from: "test" },
          };
          const error = row.error && { ...row.error, stops: -stops, median: -stops };
          const verdict = stops > 0 ? "under" : "over";
          const advice = adviseNext({ ...row, exposure, error, verdict }) as NextSettings;
          for (const { setting, from, to, reason } of advice.ways) {
            expect((to === null) === (reason !== null)).toBe(true);
            if (to === null) continue;
            marked++;
            const list = marksOf(setting, advice.step ?? step);
            const apex = (mark: number | null): number =>
              list.find(({ marked }) => marked === mark)?.value ?? Number.NaN;
            // More light: a lower aperture or time value, a higher speed value.
            const gain = (apex(to) - apex(from)) * (setting === "iso" ? 1 : -1);
            expect(gain).toBeCloseTo(advice.stops as number, 9);
          }
        }
      }
      // Some ways lead off the scale; most do not.
      expect(marked).toBeGreaterThan(10 * marksOf("aperture", step).length);
    },
  );
});

describe("where there is no mark", () => {
  test("beyond the ends of the scales there is null and a reason", async () => {
    const wideOpen = { FNumber: "1/1", ExposureTime: "30/1", ISOSpeedRatings: "51200" };
    expect(marks(await next(-3, 0, wideOpen))).toEqual(Array(3).fill("beyond-marked-scale"));
    const shut = { FNumber: "64/1", ExposureTime: "1/32000", ISOSpeedRatings: "3" };
    expect(marks(await next(1.5, 0, shut))).toEqual(Array(3).fill("beyond-marked-scale"));
    expect(MARKED_SERIES.third.aperture.at(-1)?.marked).toBe(64);
  });

  test("a phone's settings are on no scale, a missing one is said to be missing", async () => {
    const phone = { FNumber: "178/100", ExposureTime: "1/33", ISOSpeedRatings: "1160" };
    const advice = await next(-1, 0, phone);
    expect(marks(advice)).toEqual(Array(3).fill("not-on-a-marked-scale"));
    expect([advice.step, advice.stops]).toEqual([null, 1]);
    const bare = await gradeFrame(await flat(60).png().toBuffer(), { place: 0 });
    expect(bare.next?.ways.map(({ from, reason }) => [from, reason])).toEqual(
      Array(3).fill([null, "not-recorded"]),
    );
  });
});

describe("what it costs", () => {
  const lens = { FNumber: "8/1", ExposureTime: "1/60", ISOSpeedRatings: "200" };

  test("more light: depth, blur, noise", async () => {
    const [aperture, shutter, iso] = (await next(-1, 0, lens)).ways;
    expect(costs(aperture)).toEqual(["less-depth-of-field", "lens-range-unknown"]);
    expect(costs(shutter)).toEqual(["more-motion-blur", "handheld-limit-unknown"]);
    expect(costs(iso)).toEqual(["more-noise"]);
  });

  // Handheld limit, stated for 35 mm film: 50 mm to 1/50 s.
  test.each([
    { focal: 28, beyond: [] },
    { focal: 50, beyond: ["beyond-handheld-limit"] },
  ])("1/30 s by $focal mm in 35 mm terms: $beyond", async ({ focal, beyond }) => {
    const said = { ...lens, FocalLengthIn35mmFilm: String(focal) };
    const [, shutter] = (await next(-1, 0, said)).ways;
    expect(costs(shutter)).toEqual(["more-motion-blur", ...beyond]);
  });

  test("less light: the synchronisation of a flash is not known", async () => {
    const [, without] = (await next(1, 0, { ...lens, Flash: "16" })).ways;
    expect(costs(without)).toEqual(["less-motion-blur"]);
    const flash = await next(1, 0, { ...lens, Flash: "1" });
    expect(costs(flash.ways[1])).toEqual(["less-motion-blur", "flash-sync-unknown"]);
    expect(flash.notes.map(({ code }) => code)).toContain("flash-light");
  });
});

describe("beside the ways", () => {
  test("in an automatic mode, the compensation to set; by hand there is none", async () => {
    const auto = await next(0, -2, { ExposureBiasValue: "1/3" });
    expect(auto.compensation).toBeCloseTo(1 / 3 - 2, 9);
    expect(auto.notes.map(({ code }) => code)).toContain("camera-follows");
    const hand = await next(0, -2, { ExposureProgram: "1", ExposureMode: "1" });
    expect(hand.compensation).toBeNull();
  });

  test("the room before clipping is from the subject's light parts to white", async () => {
    const { roomBeforeClipping } = await next(-1, 0);
    expect(roomBeforeClipping.stops).toBeCloseTo(Math.log2(1 / 0.18) + 1, 1);
    expect((await next(2.4, 0)).roomBeforeClipping.stops).toBeLessThan(0.1);
    const settings = await gradeFrame(await flat(118).withExif(METERED_EXIF).png().toBuffer(), {
      place: 2,
      basis: "settings",
    });
    expect(settings.next?.roomBeforeClipping).toEqual({ stops: null, reason: "no-pixels" });
  });

  test("a clipped tone asks for at most so much: the number is a bound", async () => {
    expect((await next(2.6, 0)).bound).toBe("at most");
  });

  test("a frame that held asks for nothing", async () => {
    expect((await graded(0, 0)).next).toBeNull();
  });
});

test("rows with causes, next settings and words follow the published schema", async () => {
  const schema = new URL("../packages/grader/schema/results.schema.json", import.meta.url);
  const validate = new Ajv2020({ allErrors: true, allowUnionTypes: true }).compile(
    JSON.parse(readFileSync(schema, "utf8")),
  );
  const picture = await flat(118).withExif(METERED_EXIF).png().toBuffer();
  const frames = await Promise.all([
    gradeFrame(picture, { place: -2 }, { voice: "student" }),
    gradeFrame(picture, { place: 0 }, { voice: "teacher" }),
    gradeFrame(picture, {}, { voice: "teacher" }),
    gradeFrame(picture, { place: 2, basis: "settings" }, { voice: "student" }),
    gradeFrame(await flat(60).png().toBuffer(), { place: 0 }, { voice: "student" }),
    gradeFrame(new Uint8Array(), { place: 0 }, { voice: "student" }),
  ]);
  const document = { schemaVersion: SCHEMA_VERSION, frames, summary: summarise(frames) };
  validate(JSON.parse(JSON.stringify(document)));
  expect(validate.errors ?? []).toEqual([]);
  expect(frames.map(({ feedback }) => feedback?.voice ?? null)).toEqual([
    "student",
    "teacher",
    null,
    "student",
    "student",
    null,
  ]);
});
