import { adviseNext, type FrameResult, feedbackFor, gradeFrame } from "@tonefall/grader";
import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import {
  curvesOf,
  lightBehind,
  shownOf,
} from "../packages/grader/src/judge/cause/renderedCurve.ts";
import { judge } from "../packages/grader/src/judge/grade/judge.ts";
import { flat, METERED_EXIF } from "./pictures.ts";

const TOLERANCE = 1 / 3;

/** Within this, at an uncertainty of 0.05, nothing is called a miss, and nothing more is advised. */
const LANDED = TOLERANCE + 0.05;

/** Stops shown of light in stops. */
type Curve = (light: number) => number;

const power =
  (contrast: number): Curve =>
  (light) =>
    contrast * light;

/** Light over light and a constant: middle grey at 0, white never reached, a slope of `contrast` at middle grey. */
const sigmoid =
  (contrast: number): Curve =>
  (light) => {
    const x = 2 ** ((contrast * light) / 0.82);
    return Math.log2(x / (x + 0.82 / 0.18) / 0.18);
  };

let frame: FrameResult;
beforeAll(async () => {
  const IFD2 = { ...METERED_EXIF["IFD2"], DateTimeOriginal: "2026:05:01 10:00:00" };
  const bytes = await flat(118)
    .withExif({ ...METERED_EXIF, IFD2 })
    .png()
    .toBuffer();
  frame = await gradeFrame(bytes, { place: 0 }, { name: "series/1.png" });
});

/** The frame, had its subject fallen here at this exposure. */
function rowOf(stops: number, place: number, given: number, parts: Partial<FrameResult> = {}) {
  const fall = { stops, median: stops, p5: stops, p95: stops, bound: null };
  const placement = { from: place, to: place, text: String(place) };
  const uncertainty = { total: 0.05, parts: { measuring: 0.05 } };
  return {
    ...frame,
    ...judge(fall, placement, TOLERANCE, uncertainty, 0),
    ...{ placement, tolerance: TOLERANCE, givenExposure: given },
    fall: { ...fall, uncertainty: uncertainty.total, uncertaintyParts: uncertainty.parts },
    ...parts,
  };
}

/** How far the tone lies from its placement after so many steps by the advice, each given the frames before it. */
function missAfter(curve: Curve, light: number, place: number, steps: number): number {
  const rows: FrameResult[] = [];
  let given = light;
  for (let step = 0; step < steps; step++) {
    const row = rowOf(curve(given), place, given);
    given += adviseNext(row, rows)?.stops ?? 0;
    rows.push(row);
  }
  return Math.abs(curve(given) - place);
}

describe("a tone whose camera's curve is not known", () => {
  test("a picture that shows a stop as a stop lands at once, whatever the miss", () => {
    for (let miss = 0.4; miss < 4; miss += 0.05) {
      for (const side of [1, -1]) {
        expect(missAfter(power(1), side * miss, 0, 1), `${side * miss}`).toBeLessThan(TOLERANCE);
      }
    }
  });

  test.each([0.8, 1, 1.15, 1.3, 1.5, 1.7])(
    "straight, a stop shown as %f: in its tolerance after two steps",
    (contrast) => {
      for (const miss of [-1.8, -1.3, -0.9, 0.9, 1.3, 1.8]) {
        for (const place of [-2, -1, 0]) {
          const light = (place + miss) / contrast;
          expect(missAfter(power(contrast), light, place, 2)).toBeLessThan(LANDED);
        }
      }
    },
  );

  test.each([1, 1.3, 1.5])(
    "bent, of slope %f at middle grey: in its tolerance after two steps",
    (contrast) => {
      for (const light of [-2, -1.4, 1, 1.4]) {
        expect(missAfter(sigmoid(contrast), light, 0, 2)).toBeLessThan(LANDED);
      }
    },
  );

  test("the range holds what it knows of: contrast from 1 to 1.8, before another frame is seen", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 1.8, noNaN: true }),
        fc.constantFrom(-2, -1, 1),
        (k, fell) => {
          const { stops, expectedFall } = adviseNext(rowOf(fell, 0, 0)) ?? {};
          const falls = fell + k * (stops as number);
          expect(falls).toBeGreaterThanOrEqual(expectedFall?.from as number);
          expect(falls).toBeLessThanOrEqual(expectedFall?.to as number);
        },
      ),
    );
  });

  test("another frame of the subject narrows the range; only where light is known, nobody needs to check", () => {
    const before = rowOf(-3, 0, -2);
    const row = rowOf(-1.5, 0, -1);
    const [alone, seen] = [adviseNext(row), adviseNext(row, [before])];
    const width = (next: typeof alone): number =>
      (next?.expectedFall?.to as number) - (next?.expectedFall?.from as number);
    expect(width(seen)).toBeLessThan(width(alone) / 2);
    expect(seen?.stops).toBeCloseTo(1, 9);
    expect(feedbackFor(row, [], "student", alone)?.text).toContain("Check again.");
    const known = rowOf(-1.5, 0, -1, { basis: "settings" });
    expect(feedbackFor(known, [], "student")?.text).not.toContain("Check again.");
  });

  test.each([
    ["in another light", { fall: 1 }],
    ["of another camera", { model: "another" }],
    ["in another folder", { file: "other/1.png" }],
  ])(
    "a frame %s says nothing of the curve",
    (_, { fall, model, file }: { fall?: number; model?: string; file?: string }) => {
      const { exposure } = frame;
      const other = exposure && {
        ...exposure,
        model: { value: model ?? exposure.model.value, from: "test" },
      };
      const before = rowOf(fall ?? -3.6, 0, -2, {
        file: file ?? frame.file,
        exposure: other as FrameResult["exposure"],
      });
      const row = rowOf(-2, 0, -1);
      expect(adviseNext(row, [before])).toEqual(adviseNext(row));
    },
  );
});

test("on a measured curve the advice is the miss, to the nearest third", () => {
  const kit = {
    file: "kit.json",
    used: "curve",
    middleGreyUncertainty: 0.1,
    curveUncertainty: 0.1,
  } as const;
  for (let miss = 0.4; miss < 4; miss += 0.1) {
    const next = adviseNext(rowOf(-miss, 0, 0, { kit }));
    expect(next?.stops).toBeCloseTo(Math.round(3 * miss) / 3, 9);
    expect(next?.notes.map(({ code }) => code)).not.toContain("curve-unknown");
  }
});

test("what a curve shows of the light behind a tone is the tone", () => {
  for (const curve of curvesOf(rowOf(0, 0, 0))) {
    if (curve.middleGrey !== 0) continue;
    for (const shown of [-4, -3, -0.5, 0, 0.5, 2, 2.4]) {
      expect(shownOf(curve, lightBehind(curve, shown))).toBeCloseTo(shown, 9);
    }
  }
});
