import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { type Brief, type MeterResult, meterFrames, readBriefFile } from "@tonefall/grader";
import { beforeAll, describe, expect, test } from "vitest";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** The most that grain, 8 bits and JPEG move a mean. */
const PIXEL_TOLERANCE_STOPS = 0.03;

/**
 * A meter averages light before the rendering squeezes what lies above its shoulder, at 1.5 stops; a reading of the
 * picture averages after. Where some of the area lies there and none is clipped, it comes out lower by up to this much.
 */
const SHOULDER_TOLERANCE_STOPS = 0.1;

interface FrameTruth {
  readonly file: string;
  readonly exposure: { readonly programme: string; readonly compensationStops: number };
  readonly metering: {
    readonly pattern: string;
    readonly readingStops: number;
    readonly roundingStops: number | null;
  };
  readonly placement: { readonly from: number; readonly to: number };
  readonly errorStops: number;
}
const { frames } = JSON.parse(readFileSync(resolve(HARBOUR, "truth.json"), "utf8")) as {
  readonly frames: readonly FrameTruth[];
};

// Truth: what the model camera's meter saw of the scene's light, before there was a picture.
describe("the harbour samples, metered", () => {
  let results: MeterResult[] = [];
  beforeAll(async () => {
    const brief = await readBriefFile(resolve(HARBOUR, "brief.yaml"));
    const paths = frames.map(({ file }) => resolve(HARBOUR, file));
    const briefOf = (_source: unknown, index: number): Brief =>
      brief.briefFor(paths[index] as string, HARBOUR);
    results = [];
    for await (const result of meterFrames(paths, briefOf)) results.push(result);
  });

  const table = frames.map((frame, index) => ({ ...frame, index }));
  const resultAt = (index: number): MeterResult => results[index] as MeterResult;

  test.each(table)(
    "$file: the recorded pattern reads what its meter saw",
    ({ metering, index }) => {
      const reading = resultAt(index).readings.find(({ pattern }) => pattern === metering.pattern);
      const gap = (reading?.stops ?? Number.NaN) - metering.readingStops;
      expect(gap).toBeLessThan(PIXEL_TOLERANCE_STOPS);
      // Clipped light is gone from the picture: the reading is a floor under what the meter saw, and says so.
      if (reading?.bound === "at least") return;
      expect(reading?.bound).toBeNull();
      expect(gap).toBeGreaterThan(-SHOULDER_TOLERANCE_STOPS);
    },
  );

  test("most readings are no bounds, and lie within the pixels' tolerance", () => {
    const gaps = table.flatMap(({ metering, index }) => {
      const reading = resultAt(index).split?.reading;
      return reading?.bound === null ? [Math.abs(reading.stops - metering.readingStops)] : [];
    });
    expect(gaps.length).toBeGreaterThanOrEqual(24);
    expect(gaps.filter((gap) => gap < PIXEL_TOLERANCE_STOPS).length).toBeGreaterThanOrEqual(23);
  });

  test.each(table.filter(({ exposure }) => exposure.programme !== "manual"))(
    "$file: the camera followed its meter but for the shutter's third stops",
    ({ exposure, metering, errorStops, index }) => {
      const { split } = resultAt(index);
      expect(split?.mode).toBe("auto");
      expect(split?.needleStops).toBeNull();
      expect(split?.compensationStops).toBeCloseTo(exposure.compensationStops, 4);
      const rest = (split?.departureStops?.stops ?? Number.NaN) - (metering.roundingStops ?? 0);
      expect(rest).toBeLessThan(PIXEL_TOLERANCE_STOPS);
      if (split?.departureStops?.bound === null) {
        expect(rest).toBeGreaterThan(-SHOULDER_TOLERANCE_STOPS);
      }
      const wanted = exposure.compensationStops - errorStops;
      expect(Math.abs((split?.wantedCompensationStops?.stops ?? 9) - wanted)).toBeLessThan(0.1);
    },
  );

  test.each(table.filter(({ exposure }) => exposure.programme === "manual"))(
    "$file: set by hand, the needle stood where the reading is",
    ({ metering, index }) => {
      const { split } = resultAt(index);
      expect(split).toMatchObject({
        mode: "manual",
        departureStops: null,
        wantedCompensationStops: null,
      });
      const gap = (split?.needleStops?.stops ?? Number.NaN) - metering.readingStops;
      expect(Math.abs(gap)).toBeLessThan(SHOULDER_TOLERANCE_STOPS);
    },
  );

  test("one doorway, four patterns: followed, each lands the wall on its own tone", () => {
    const [average, centre, partial, spot] = table
      .filter(({ file }) => file.includes("-doorway-"))
      .map(({ index }) => resultAt(index).fall?.stops ?? Number.NaN) as [
      number,
      number,
      number,
      number,
    ];
    expect(average).toBeLessThan(centre);
    expect(centre).toBeLessThan(partial);
    expect(partial).toBeLessThan(spot);
    // What the first frame says of the second: where the wall falls when the camera follows the other pattern. Half of a
    // third is the shutter's rounding in either frame.
    const [first] = table.filter(({ file }) => file.includes("15-doorway"));
    const told = resultAt(first?.index ?? -1).readings.find(
      ({ pattern }) => pattern === "centre-weighted",
    )?.fallIfFollowed;
    expect(Math.abs((told?.stops ?? Number.NaN) - centre)).toBeLessThan(1 / 6);
  });

  test("a spot says that its place is not recorded", () => {
    const spots = table.filter(({ metering }) => metering.pattern === "spot");
    expect(spots.length).toBeGreaterThan(5);
    for (const { index } of spots) {
      expect(resultAt(index).split?.notes.map(({ code }) => code)).toContain("spot-place-unknown");
    }
  });
});
