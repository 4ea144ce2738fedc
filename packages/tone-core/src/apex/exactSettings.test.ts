import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { exactCompensation, exactSettings } from "./exactSettings.ts";
import { MARKED_SERIES, type MarkedSeries, type SeriesName } from "./markedSeries.ts";

const NAMES: readonly SeriesName[] = ["full", "third", "half"];
const STEP: Readonly<Record<SeriesName, number>> = { full: 1, third: 1 / 3, half: 1 / 2 };

function settings(aperture: number, shutterSeconds: number, iso: number) {
  return { aperture, shutterSeconds, iso };
}

describe("MARKED_SERIES", () => {
  test.each(NAMES)(
    "%s rises in even steps, each marked within a fifth of a stop of its exact value",
    (name) => {
      for (const key of ["aperture", "shutterSeconds", "iso"] as const) {
        const list = MARKED_SERIES[name][key];
        list.forEach(({ marked, exact, value }, i) => {
          const stops = (key === "aperture" ? 2 : 1) * Math.log2(marked / exact);
          expect(Math.abs(stops), `${key} ${marked}`).toBeLessThan(0.2);
          if (i > 0) expect(value - (list[i - 1]?.value ?? 0)).toBeCloseTo(STEP[name], 10);
        });
      }
    },
  );

  test("the full stops are marked alike in the halves and the thirds", () => {
    for (const key of ["aperture", "shutterSeconds", "iso"] as const) {
      const halves = MARKED_SERIES.half[key].filter(({ value }) => Number.isInteger(value));
      const full = new Map(MARKED_SERIES.full[key].map(({ value, marked }) => [value, marked]));
      for (const { value, marked } of halves) expect(marked).toBe(full.get(value));
    }
  });
});

describe("exactSettings", () => {
  test("puts marked full stops in place of exact ones", () => {
    expect(exactSettings(settings(5.6, 1 / 60, 100))).toEqual({
      aperture: Math.sqrt(32),
      shutterSeconds: 1 / 64,
      iso: 100,
      series: "full",
    });
  });

  test("takes thirds where thirds and halves both fit and differ", () => {
    const exact = exactSettings(settings(13, 1 / 20, 100));
    expect(exact.series).toBe("third");
    expect(exact.aperture).toBeCloseTo(12.699, 3);
    expect(1 / exact.shutterSeconds).toBeCloseTo(20.159, 3);
  });

  test("takes halves when one setting is only a half", () => {
    const exact = exactSettings(settings(9.5, 1 / 20, 100));
    expect(exact.series).toBe("half");
    expect(1 / exact.shutterSeconds).toBeCloseTo(22.627, 3);
  });

  test("a time written as a cut decimal is found", () => {
    expect(exactSettings(settings(8, 0.0166, 100)).shutterSeconds).toBe(1 / 64);
    expect(exactSettings(settings(8, 0.016666, 100)).shutterSeconds).toBe(1 / 64);
  });

  test.each([
    ["f/3.9", settings(3.9, 1 / 60, 100)],
    ["1/33 s", settings(4, 1 / 33, 100)],
    ["ISO 1160", settings(4, 1 / 60, 1160)],
    ["1/114 s", settings(2, 1 / 114, 64)],
    ["a third beside a half", settings(6.7, 1 / 60, 125)],
  ])("leaves everything as recorded for %s", (_, recorded) => {
    expect(exactSettings(recorded)).toEqual({ ...recorded, series: null });
  });

  test("values recorded exactly stay and count as on the list", () => {
    const recorded = settings(5.66, 1 / 64, 100);
    expect(exactSettings(recorded)).toEqual({ ...recorded, series: "full" });
    expect(exactSettings(settings(5.6, 1 / 128, 100)).series).toBe("full");
  });

  test("of its own answer is that answer", () => {
    const pick = (list: MarkedSeries[keyof MarkedSeries]) =>
      fc.constantFrom(...list.map(({ marked }) => marked));
    for (const name of NAMES) {
      const series = MARKED_SERIES[name];
      fc.assert(
        fc.property(
          pick(series.aperture),
          pick(series.shutterSeconds),
          pick(series.iso),
          (n, t, s) => {
            const { series: found, ...exact } = exactSettings(settings(n, t, s));
            expect(found).not.toBeNull();
            const again = exactSettings(exact);
            // an exact time may be a listed one of a coarser series, so the series may change, the light may not
            expect(again.aperture / exact.aperture).toBeCloseTo(1, 2);
            expect(again.shutterSeconds / exact.shutterSeconds).toBeCloseTo(1, 2);
            expect(again.iso / exact.iso).toBeCloseTo(1, 2);
          },
        ),
      );
    }
  });

  test.each([0, -1, Number.NaN, Infinity])("throws for a setting of %s", (bad) => {
    for (const set of [settings(bad, 1, 100), settings(8, bad, 100), settings(8, 1, bad)]) {
      expect(() => exactSettings(set)).toThrow(
        expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }),
      );
    }
  });
});

describe("exactCompensation", () => {
  test.each([
    [0.3, 1 / 3],
    [0.33, 1 / 3],
    [0.7, 2 / 3],
    [-0.3, -1 / 3],
    [1.5, 1.5],
    [-5 / 3, -5 / 3],
    [2, 2],
    [0.25, 0.25],
    [0.02, 0],
    [-0.02, 0],
    [0.04, 0],
    [0.041, 0.041],
  ])("(%s) is %s", (recorded, exact) => {
    expect(exactCompensation(recorded)).toBe(exact);
  });

  test.each([Number.NaN, Infinity])("(%s) throws", (bad) => {
    expect(() => exactCompensation(bad)).toThrow(/finite number for compensation/);
  });
});
