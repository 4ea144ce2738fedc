import {
  type Bound,
  type BoundedStops,
  type Brief,
  type Exposure,
  type FrameResult,
  gradeFrame,
  meterFrame,
  type Reading,
  readFrame,
  splitMiss,
} from "@tonefall/grader";
import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF, picture } from "./pictures.ts";
import { linear, nearestCode } from "./srgb.ts";

const MIDDLE_GREY = 0.18;

/** Codes are whole: where these scenes fall, a tone is right within this. */
const CODE_TOLERANCE_STOPS = 0.03;

const METERING_MODE = { average: 1, "centre-weighted": 2, spot: 3, "multi-segment": 5, partial: 6 };

interface Shot {
  /** Share of the light that the scene gives back at a place of the upright frame, fractions of its sides. */
  readonly reflectance: (x: number, y: number) => number;
  /** Reflectance that the camera metered, from wherever it looked. */
  readonly metered: number;
  readonly pattern?: keyof typeof METERING_MODE;
  readonly compensation?: number;
  /** What the camera gave beyond its meter and its compensation, stops. */
  readonly departure?: number;
  readonly manual?: boolean;
}

/** A picture as a camera without a tone curve makes it: what was metered lands on middle grey, and all else with it. */
function shoot(shot: Shot): Promise<Buffer> {
  const { reflectance, metered, pattern = "spot", compensation = 0, departure = 0 } = shot;
  const given = 2 ** ((shot.manual ? 0 : compensation) + departure);
  return picture(90, 60, (x, y) => {
    const light = reflectance((x + 0.5) / 90, (y + 0.5) / 60);
    const code = nearestCode((MIDDLE_GREY * given * light) / metered);
    return [code, code, code];
  })
    .withExif({
      IFD2: {
        ...METERED_EXIF.IFD2,
        ExposureBiasValue: `${Math.round(compensation * 6)}/6`,
        ExposureMode: shot.manual ? "1" : "0",
        ExposureProgram: shot.manual ? "1" : "3",
        MeteringMode: String(METERING_MODE[pattern]),
      },
    })
    .png()
    .toBuffer();
}

async function gradeShot(shot: Shot, brief: Brief): Promise<FrameResult> {
  const result = await gradeFrame(await shoot(shot), brief);
  expect(result.failure).toBeNull();
  return result;
}

function near(actual: BoundedStops | null | undefined, expected: number): void {
  expect(actual?.bound).toBeNull();
  expect(Math.abs((actual?.stops ?? Number.NaN) - expected)).toBeLessThan(CODE_TOLERANCE_STOPS);
}

const stopsFromGrey = (reflectance: number): number => Math.log2(reflectance / MIDDLE_GREY);

// Common practice, every one: what teachers of exposure say of reflected-light meters.
describe("facts of the trade", () => {
  const SUBJECTS = [
    { subject: "tar", reflectance: 0.05 },
    { subject: "dark coat", reflectance: 0.04 },
    { subject: "grey card", reflectance: 0.18 },
    { subject: "white cloth", reflectance: 0.6 },
  ];
  const patterns = Object.keys(METERING_MODE) as (keyof typeof METERING_MODE)[];

  test.each(SUBJECTS.flatMap((subject) => patterns.map((pattern) => ({ ...subject, pattern }))))(
    "$subject filling the meter's $pattern comes out as far off as it lies from middle grey",
    async ({ reflectance, pattern }) => {
      const place = stopsFromGrey(reflectance);
      const shot = { reflectance: () => reflectance, metered: reflectance, pattern };
      const { fall, error, split } = await gradeShot(shot, { place, region: "spot" });
      near(fall, 0);
      near(error, -place);
      near(split?.departureStops, 0);
      near(split?.wantedCompensationStops, place);
      expect(split?.needleStops).toBeNull();
      expect(split?.reading).toMatchObject({ pattern, estimate: pattern === "multi-segment" });
    },
  );

  test.each([-2, -1 / 2, 0, 1 / 3, 1])(
    "compensation of %f moves the tone, and not the compensation that would have landed it",
    async (compensation) => {
      const shot = { reflectance: () => 0.05, metered: 0.05, compensation };
      const { fall, split } = await gradeShot(shot, { place: -1.84 });
      near(fall, compensation);
      near(split?.departureStops, 0);
      near(split?.wantedCompensationStops, -1.84);
    },
  );

  test("metered on the lawn and recomposed in manual, tones fall where reflectance puts them", async () => {
    for (const reflectance of [0.05, 0.18, 0.36, 0.72]) {
      const shot = { reflectance: () => reflectance, metered: 0.18, manual: true };
      const { fall, verdict, split } = await gradeShot(shot, { place: stopsFromGrey(reflectance) });
      near(fall, stopsFromGrey(reflectance));
      expect(verdict).toBe("within");
      expect(split).toMatchObject({ mode: "manual", departureStops: null });
      near(split?.needleStops, stopsFromGrey(reflectance));
      expect(split?.wantedCompensationStops).toBeNull();
    }
  });

  test("compensation does nothing in manual, and the split says so", async () => {
    const shot = { reflectance: () => 0.18, metered: 0.18, manual: true, compensation: -2 };
    const { fall, split } = await gradeShot(shot, { place: 0 });
    near(fall, 0);
    near(split?.needleStops, 0);
    expect(split?.compensationStops).toBeCloseTo(-2, 6);
    expect(split?.notes.map(({ code }) => code)).toContain("compensation-in-manual");
  });

  test("a bright sky in an average darkens the subject below it, and a spot does not", async () => {
    const sky = 0.9;
    const wall = 0.09;
    const reflectance = (_x: number, y: number): number => (y < 1 / 3 ? sky : wall);
    const brief = { place: stopsFromGrey(wall), region: "spot" };
    const average = (sky + 2 * wall) / 3;
    const byAverage = await gradeShot({ reflectance, metered: average, pattern: "average" }, brief);
    near(byAverage.fall, Math.log2(wall / average));
    near(byAverage.split?.departureStops, 0);
    expect(byAverage.verdict).toBe("under");
    const bySpot = await gradeShot({ reflectance, metered: wall }, { ...brief, place: 0 });
    near(bySpot.fall, 0);
  });
});

describe("the split of a miss", () => {
  test.each([-1, 0.5, 1.5])("a camera that left its meter by %f is told so", async (departure) => {
    const shot = { reflectance: () => 0.18, metered: 0.18, departure, compensation: -1 / 2 };
    const { split } = await gradeShot(shot, { place: 0 });
    near(split?.departureStops, departure);
    expect(split?.compensationStops).toBeCloseTo(-1 / 2, 6);
    near(split?.wantedCompensationStops, -departure);
  });

  test("what is clipped gives bounds: at least this far off, at most that compensation", async () => {
    const shot = { reflectance: () => 0.9, metered: 0.05 };
    const { error, split } = await gradeShot(shot, { place: 1 });
    expect(error?.bound).toBe("at least");
    expect(split?.reading?.bound).toBe("at least");
    expect(split?.departureStops?.bound).toBe("at least");
    expect(split?.departureStops?.stops).toBeCloseTo(-Math.log2(MIDDLE_GREY), 2);
    expect(split?.wantedCompensationStops?.bound).toBe("at most");
    expect(split?.wantedCompensationStops?.stops).toBeCloseTo(1 + Math.log2(MIDDLE_GREY), 2);
  });

  test("a spot is taken to be the centre until somebody says where it was", async () => {
    const reflectance = (x: number): number => (x < 1 / 4 ? 0.09 : 0.36);
    const bytes = await shoot({ reflectance, metered: 0.09 });
    const central = await meterFrame(bytes, { place: 0, region: "spot" });
    near(central.split?.departureStops, 2);
    expect(central.split?.notes.map(({ code }) => code)).toEqual(["spot-place-unknown"]);
    const placed = await meterFrame(
      bytes,
      { place: 0, region: "spot" },
      { spot: { x: 0.1, y: 0.5 }, spotShare: 0.01 },
    );
    near(placed.split?.departureStops, 0);
    near(placed.split?.wantedCompensationStops, -2);
    expect(placed.split?.notes).toEqual([]);
  });

  test.each([
    { what: "multi-spot", mode: "4" },
    { what: "another pattern", mode: "255" },
    { what: "no pattern", mode: "0" },
  ])("$what cannot be simulated: graded, without a split", async ({ mode }) => {
    const exif = { IFD2: { ...METERED_EXIF.IFD2, MeteringMode: mode } };
    const bytes = await flat(118).withExif(exif).png().toBuffer();
    const { verdict, split } = await gradeFrame(bytes, { place: 0 });
    expect([verdict, split]).toEqual(["within", null]);
  });

  test("no metadata, no placement or no pixels: no split", async () => {
    const metered = await flat(118).withExif(METERED_EXIF).png().toBuffer();
    expect((await gradeFrame(await flat(118).png().toBuffer(), { place: 0 })).split).toBeNull();
    expect((await gradeFrame(metered)).split).toBeNull();
    expect((await gradeFrame(metered, { place: 0, basis: "settings" })).split).toBeNull();
    expect((await gradeFrame(Buffer.from("no picture"), { place: 0 })).split).toBeNull();
    expect((await gradeFrame(metered, { place: 0 })).split).not.toBeNull();
  });

  test("a scene claim takes readings to light as it takes falls", async () => {
    const bytes = await flat(162).withExif(METERED_EXIF).png().toBuffer();
    const rendered = await gradeFrame(bytes, { place: 0 });
    const shown = rendered.split?.reading?.stops ?? Number.NaN;
    const scene = await gradeFrame(bytes, { place: 0, basis: "scene" });
    const stops = scene.split?.reading?.stops ?? Number.NaN;
    expect(stops).toBeLessThan(shown / 1.1);
    expect(stops).toBeGreaterThan(shown / 1.48);
    expect(stops).toBeCloseTo(scene.fall?.stops ?? Number.NaN, 4);
    expect(linear(162)).toBeGreaterThan(0.18);
  });
});

describe("splitMiss", () => {
  let recorded: Exposure;
  beforeAll(async () => {
    const bytes = await flat(118).withExif(METERED_EXIF).png().toBuffer();
    recorded = (await readFrame(bytes)).exposure as Exposure;
  });

  const stops = fc.double({ min: -10, max: 10, noNaN: true });
  const bound = fc.constantFrom<Bound | null>("at least", "at most", null);
  const reading = (value: number, readingBound: Bound | null): Reading => ({
    pattern: "spot",
    stops: value,
    estimate: false,
    bound: readingBound,
    fallIfFollowed: null,
  });
  const withCompensation = (value: number): Exposure => ({
    ...recorded,
    compensation: { value, from: "Exif ExposureBiasValue" },
  });

  test("departure is reading less compensation, wanted is compensation less error, bounds kept", () => {
    fc.assert(
      fc.property(stops, bound, stops, stops, bound, (M, Mbound, C, E, Ebound) => {
        const split = splitMiss({
          exposure: withCompensation(C),
          reading: reading(M, Mbound),
          error: { stops: E, bound: Ebound },
        });
        expect(split.departureStops).toEqual({ stops: M - C, bound: Mbound });
        const turned = { "at least": "at most", "at most": "at least" } as const;
        expect(split.wantedCompensationStops).toEqual({
          stops: C - E,
          bound: Ebound && turned[Ebound],
        });
      }),
    );
  });

  test("without a recorded compensation or mode it says what is missing, and guesses nothing", () => {
    const error = { stops: 1, bound: null };
    const missing = { value: null, reason: "absent" } as const;
    const silent = splitMiss({
      exposure: { ...recorded, compensation: missing },
      reading: reading(0, null),
      error,
    });
    expect(silent).toMatchObject({
      mode: "auto",
      compensationStops: null,
      departureStops: null,
      wantedCompensationStops: null,
    });
    expect(silent.notes.map(({ code }) => code)).toContain("no-compensation");
    const modeless = splitMiss({
      exposure: { ...recorded, mode: missing, programme: missing },
      reading: reading(0, null),
      error,
    });
    expect(modeless).toMatchObject({ mode: "unknown", departureStops: null, needleStops: null });
    expect(modeless.notes.map(({ code }) => code)).toContain("mode-unknown");
    const blind = splitMiss({ exposure: recorded, reading: null, error });
    expect(blind.departureStops).toBeNull();
    expect(blind.wantedCompensationStops?.stops).toBeCloseTo(-2 / 3 - 1, 6);
    expect(blind.notes.map(({ code }) => code)).toContain("pattern-not-simulated");
  });
});
