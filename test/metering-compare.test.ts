import { resolve } from "node:path";
import { compareFrames, type FrameResult, gradeFrame } from "@tonefall/grader";
import type { Exif } from "sharp";
import { beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF } from "./pictures.ts";
import { nearestCode } from "./srgb.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** A frame of one tone, so many rendered stops from middle grey, at a shutter of 1/128 s times 2^given. */
async function frame(
  stops: number,
  given: number,
  more: { readonly camera?: string; readonly exif?: Exif["IFD2"]; readonly basis?: "scene" } = {},
): Promise<FrameResult> {
  const bytes = await flat(nearestCode(0.18 * 2 ** stops))
    .withExif({
      IFD0: { Make: "Tonefall", Model: more.camera ?? "Test camera" },
      IFD2: {
        ...METERED_EXIF.IFD2,
        FNumber: "4/1",
        ExposureTime: `${2 ** (7 + given)}/${2 ** 14}`,
        ...more.exif,
      },
    })
    .png()
    .toBuffer();
  return gradeFrame(bytes, more.basis ? { basis: more.basis } : {});
}

describe("compareFrames", () => {
  // The published spread of camera renderings around the mid-tones, a stop of light as 1.13 to 1.48 [RENDERED-CONTRAST].
  test.each([1.13, 1.3, 1.48])(
    "a bracket rendered at contrast %f agrees with its settings",
    async (contrast) => {
      const middle = await frame(0, 0);
      for (const given of [-2, -1, 1]) {
        const comparison = compareFrames(middle, await frame(contrast * given, given));
        expect(comparison).toMatchObject({ basis: "rendered", agree: true });
        expect(comparison.givenExposureStops).toBeCloseTo(given, 6);
        expect(Math.abs((comparison.fallStops?.stops ?? 9) - contrast * given)).toBeLessThan(0.05);
        expect(comparison.expectedFallStops).toBeCloseTo(1.3 * given, 6);
        expect(comparison.cancelled).toEqual(["kit", "middle-grey"]);
      }
    },
  );

  test("the other way round every difference turns its sign, and the answer stays", async () => {
    const [a, b] = [await frame(-1, 0), await frame(0.3, 1)];
    const [there, back] = [compareFrames(a, b), compareFrames(b, a)];
    expect(back.fallStops?.stops).toBeCloseTo(-(there.fallStops?.stops ?? 0), 12);
    expect(back.givenExposureStops).toBeCloseTo(-(there.givenExposureStops ?? 0), 12);
    expect(back.uncertainty).toBeCloseTo(there.uncertainty ?? 0, 12);
    expect([there.agree, back.agree]).toEqual([true, true]);
  });

  test("frames of two folders, or of another hour, are no series, and neither agree nor disagree", async () => {
    const at = (time: string): Promise<FrameResult> =>
      frame(0, 0, { exif: { DateTimeOriginal: `2024:05:31 ${time}` } });
    const [one, soon, late] = await Promise.all(["09:00:00", "09:09:00", "09:11:00"].map(at));
    if (!one || !soon || !late) throw new Error("expected three frames");
    const codes = ({ notes }: ReturnType<typeof compareFrames>): string[] =>
      notes.map(({ code }) => code);
    expect(compareFrames(one, soon).agree).toBe(true);
    expect(codes(compareFrames(one, soon))).not.toContain("not-one-series");
    const strangers = [
      compareFrames(one, late),
      compareFrames({ ...one, file: "anna/1.jpg" }, { ...soon, file: "ben/1.jpg" }),
    ];
    for (const comparison of strangers) {
      expect(comparison.agree).toBeNull();
      expect(codes(comparison)).toContain("not-one-series");
    }
  });

  test("a frame agrees with itself", async () => {
    const one = await frame(0.7, 0);
    expect(compareFrames(one, one)).toMatchObject({
      givenExposureStops: 0,
      fallStops: { stops: 0, bound: null },
      agree: true,
    });
  });

  test("tones that stay while the settings move, or move while they stay, disagree", async () => {
    const middle = await frame(0, 0);
    expect(compareFrames(middle, await frame(0, -2)).agree).toBe(false);
    expect(compareFrames(middle, await frame(-1, 0)).agree).toBe(false);
    expect(compareFrames(middle, await frame(-1, 1)).agree).toBe(false);
  });

  test("another camera leaves middle grey unknown, which widens what agrees", async () => {
    const middle = await frame(0, 0);
    const other = await frame(-1, 0, { camera: "Other camera" });
    const comparison = compareFrames(middle, other);
    expect(comparison.cancelled).toEqual([]);
    expect(comparison.uncertaintyParts["middleGrey"]).toBeCloseTo(1.3 * 0.45 * Math.SQRT2, 6);
    expect(comparison.agree).toBe(true);
    const edited = compareFrames(middle, await frame(0, 0, { exif: { Contrast: "2" } }));
    expect(edited.cancelled).toEqual(["kit"]);
  });

  test("a bound can refute, and never bears out", async () => {
    const middle = await frame(0, 0);
    const white = await frame(4, 1);
    expect(white.fall?.bound).toBe("at least");
    expect(compareFrames(middle, white)).toMatchObject({ fallStops: { bound: "at least" } });
    expect(compareFrames(middle, white).agree).toBe(false);
    expect(compareFrames(middle, await frame(4, 2)).agree).toBeNull();
    expect(compareFrames(white, await frame(4, 3)).fallStops).toBeNull();
  });

  test("on the shoulder a tone that moved less than the settings is no disagreement", async () => {
    const comparison = compareFrames(await frame(0.9, 0), await frame(2.2, 3));
    expect(comparison.agree).toBeNull();
    expect(comparison.notes.map(({ code }) => code)).toContain("on-the-shoulder");
  });

  test("scene claims are compared stop for stop, with the curve's spread", async () => {
    const scene = { basis: "scene" } as const;
    const comparison = compareFrames(await frame(0, 0, scene), await frame(-1.3, -1, scene));
    expect(comparison.expectedFallStops).toBeCloseTo(-1, 6);
    expect(comparison.fallStops?.stops).toBeCloseTo(-1, 1);
    expect(comparison.agree).toBe(true);
    expect(comparison.uncertaintyParts["curve"]).toBeCloseTo(0.175 / 1.3, 6);
  });

  test("two bases, missing settings and unread frames have no answer, and say why", async () => {
    const rendered = await frame(0, 0);
    const mixed = compareFrames(rendered, await frame(0, 0, { basis: "scene" }));
    expect(mixed).toMatchObject({ basis: null, fallStops: null, agree: null });
    expect(mixed.notes.map(({ code }) => code)).toContain("bases-differ");
    const bare = await gradeFrame(await flat(118).png().toBuffer());
    expect(compareFrames(rendered, bare)).toMatchObject({
      givenExposureStops: null,
      expectedFallStops: null,
      agree: null,
      cancelled: [],
    });
    expect(compareFrames(rendered, await gradeFrame(new Uint8Array())).agree).toBeNull();
    const fired = await frame(0, 0, { exif: { Flash: "1" } });
    expect(compareFrames(rendered, fired).notes.map(({ code }) => code)).toContain("flash-fired");
  });
});

describe("the harbour's frames, compared", () => {
  const graded = new Map<string, FrameResult>();
  const at = (name: string): FrameResult => graded.get(name) as FrameResult;
  beforeAll(async () => {
    const slip = "box:0.55,0.6,0.12,0.08";
    const jetty = "polygon:0.32,0.65 0.55,0.62 0.53,0.76 0.2,0.86";
    const wanted = {
      "07-bracket-minus-2": slip,
      "08-bracket-minus-1": slip,
      "09-bracket-middle": slip,
      "10-bracket-plus-1": slip,
      "20-same-exposure-f4": jetty,
      "22-same-exposure-f11": jetty,
    };
    for (const [name, region] of Object.entries(wanted)) {
      graded.set(name, await gradeFrame(resolve(HARBOUR, `${name}.jpg`), { region }));
    }
  });

  test.each([
    ["08-bracket-minus-1", -1],
    ["07-bracket-minus-2", -2],
    ["10-bracket-plus-1", 1],
  ])("%s lies %i from the middle of its bracket, by settings and by tone", (name, steps) => {
    const { givenExposureStops, fallStops, agree } = compareFrames(
      at("09-bracket-middle"),
      at(name),
    );
    expect(givenExposureStops).toBeCloseTo(steps, 6);
    expect(Math.abs((fallStops?.stops ?? 9) - steps)).toBeLessThan(0.03);
    expect(agree).toBe(true);
  });

  test("equivalent exposures give one light and one tone by different settings", () => {
    const { givenExposureStops, fallStops, agree } = compareFrames(
      at("20-same-exposure-f4"),
      at("22-same-exposure-f11"),
    );
    expect(givenExposureStops).toBeCloseTo(0, 6);
    expect(Math.abs(fallStops?.stops ?? 9)).toBeLessThan(0.03);
    expect(agree).toBe(true);
  });
});
