import { describe, expect, test } from "vitest";
import { blankRecord } from "../../bench/simulation/simulatedCamera.ts";
import type { Exposure, FrameResult } from "../model/result.ts";
import type { ReadyLevel } from "./classFile.ts";
import { frameFlags } from "./frameFlags.ts";
import { levelOfFrame, levelOfTask } from "./levelOf.ts";

const LEVELS: readonly ReadyLevel[] = [
  { name: "placed", limit: "tolerance" },
  { name: "nearly", limit: 1 },
  { name: "not yet", limit: "any" },
];

function row(
  stops: number,
  verdict: FrameResult["verdict"],
  bound: "at least" | "at most" | null = null,
): FrameResult {
  return {
    failure: null,
    exposure: null,
    causes: [],
    verdict,
    error: { stops, median: stops, bound, decidedBy: "mean", uncertainty: 0.05 },
  } as unknown as FrameResult;
}

describe("the level of a frame", () => {
  test.each([
    [row(0, "within"), "placed"],
    [row(0.9, "over"), "nearly"],
    [row(-1, "under"), "nearly"],
    [row(-1.01, "under"), "not yet"],
    // At least this far off: the next level may be out of reach.
    [row(0.9, "over", "at least"), null],
    [row(1.9, "over", "at least"), "not yet"],
    [row(-0.9, "under", "at most"), null],
    [row(0.9, "over", "at most"), "nearly"],
    [row(0.3, "undecided"), null],
  ])("%#", (graded, level) => {
    const suggested = levelOfFrame(graded, LEVELS);
    expect(suggested.level).toBe(level);
    expect(suggested.reason.message).not.toBe("");
  });

  test("needs a frame that can be read, and a placement", () => {
    const failure = { code: "truncated", message: "cut" } as const;
    expect(levelOfFrame({ ...row(0, null), failure }, LEVELS).reason.code).toBe("unreadable");
    expect(levelOfFrame({ ...row(0, null), error: null }, LEVELS).reason.code).toBe("no-placement");
  });
});

/** A frame that Tonefall made: its tone is where it belongs, and no student exposed it. */
const MADE: FrameResult = {
  ...row(0, "within"),
  exposure: {
    ...(await blankRecord()),
    software: { value: "Tonefall expose 0.1.0" },
  } as unknown as Exposure,
};

test("a made frame reaches no level, as if it had not been handed in", () => {
  expect(levelOfFrame(MADE, LEVELS)).toMatchObject({ level: null, reason: { code: "made-frame" } });
  const of = (...rows: readonly FrameResult[]) =>
    levelOfTask(
      rows.map((one) => ({ row: one })),
      2,
      LEVELS,
    );
  expect(of(MADE, MADE)).toMatchObject({ level: null, reason: { code: "made-frame" } });
  expect(of(MADE, row(0, "within"))).toEqual(of(row(0, "within")));
});

test("a made frame is shown to the teacher", () => {
  const frame = { student: "s01", task: "tar", file: "s01/tar.jpg", row: MADE };
  const codes = frameFlags(frame, new Map()).map(({ code }) => code);
  expect(codes).toContain("made-frame");
  expect(codes).not.toContain("edited");
});

describe("the level of a task", () => {
  const of = (asked: number, ...rows: readonly FrameResult[]) =>
    levelOfTask(
      rows.map((one) => ({ row: one })),
      asked,
      LEVELS,
    );
  const [good, near, far, open] = [
    row(0, "within"),
    row(0.8, "over"),
    row(2, "over"),
    row(0.3, "undecided"),
  ];

  test.each([
    [1, [good], "placed"],
    [2, [good, far], "placed"],
    [3, [good, far, far], "not yet"],
    [3, [good, near, far], "nearly"],
    // Missing frames reach the last level alone.
    [2, [good], "placed"],
    [3, [good], "not yet"],
    [3, [good, near], "nearly"],
    [2, [open, open], null],
    [2, [far, open], null],
    [3, [far, far, open], "not yet"],
    [1, [], null],
  ])("%d asked: %#", (asked, rows, level) => {
    expect(of(asked, ...rows).level).toBe(level);
  });
});
