import { expect, test } from "vitest";
import type { FrameResult } from "../model/result.ts";
import { judgeRise, toneDifference } from "./judgeStops.ts";

test("one tone is lighter than another where a bound does not leave it open", () => {
  const rise = (stops: number, bound: "at least" | "at most" | null) =>
    judgeRise({ stops, bound, uncertainty: 0.05 });
  expect([rise(1, null), rise(1, "at least"), rise(1, "at most")]).toEqual([
    "within",
    "within",
    "undecided",
  ]);
  expect([rise(-1, null), rise(-1, "at most"), rise(-1, "at least")]).toEqual([
    "under",
    "under",
    "undecided",
  ]);
  expect(rise(0.02, null)).toBe("undecided");
});

test("what two frames of one camera share takes no part in the uncertainty of their difference", () => {
  const row = (model: string): FrameResult => {
    const uncertaintyParts = { middleGrey: 0.3, evenness: 0.2, region: 0.03 };
    const fall = { stops: 0, median: 0, bound: null, uncertaintyParts };
    return { fall, exposure: { model: { value: model } } } as unknown as FrameResult;
  };
  const uncertaintyOf = (a: string, b: string) => toneDifference(row(a), row(b))?.uncertainty;
  expect(uncertaintyOf("One", "One")).toBeCloseTo(Math.hypot(0.03, 0.03), 12);
  const own = Math.hypot(0.3, 0.2, 0.03);
  expect(uncertaintyOf("One", "Two")).toBeCloseTo(Math.hypot(own, own), 12);
});
