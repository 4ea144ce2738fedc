import { describe, expect, test } from "vitest";
import type { FrameResult } from "../model/result.ts";
import { readDueTime } from "./dueTime.ts";
import { clockDaysOf, clockDoubts, latenessOf } from "./lateness.ts";

function takenAt(capturedAt: string | null, camera: string | null = null): FrameResult {
  const exposure = {
    ...{ capturedAt: { value: capturedAt }, make: { value: null }, model: { value: camera } },
  };
  return { exposure } as unknown as FrameResult;
}

const late = (due: string, taken: string | null, clock: number | null = null) =>
  latenessOf(takenAt(taken), readDueTime(due), clock);

describe("lateness, by the time that a picture records", () => {
  test.each([
    ["2025-06-14 18:00", "2025-06-14T18:00:00", false, null],
    ["2025-06-14 18:00", "2025-06-14T18:30:00", true, 0.5],
    ["2025-06-14", "2025-06-14T23:59:59", false, null],
    ["2025-06-14", "2025-06-15T00:59:59", true, 1],
    // Both clocks are known: 18:00 in UTC+2 is 16:00 UTC.
    ["2025-06-14T18:00+02:00", "2025-06-14T16:30:00Z", true, 0.5],
    ["2025-06-14T18:00+02:00", "2025-06-14T11:30:00-04:00", false, null],
    // One is not: local times are compared.
    ["2025-06-14 18:00", "2025-06-14T17:30:00-04:00", false, null],
    ["2025-06-14T18:00+02:00", "2025-06-14T18:30:00", true, 0.5],
    ["2024-02-29", "2024-03-01T00:59:59.5", true, 1],
  ])("due %s, taken %s", (due, taken, isLate, hours) => {
    const { late: answer, hours: by } = late(due, taken);
    expect([answer, by === null ? null : Math.round(1000 * by) / 1000]).toEqual([isLate, hours]);
  });

  test("says when local times were compared", () => {
    const { message } = late("2025-06-14 18:00", "2025-06-14T18:30:00").reason;
    expect(message).toMatch(/30 minutes after.*Local times are compared/);
    const exact = late("2025-06-14T18:00Z", "2025-06-14T18:30:00Z").reason.message;
    expect(exact).not.toMatch(/Local/);
  });

  test.each([
    ["2025-06-14T18:01:00", "1 minute"],
    ["2025-06-14T19:00:00", "1 hour"],
    ["2025-06-16T00:00:00", "30 hours"],
    ["2025-06-17T18:00:00", "3 days"],
  ])("taken %s, when 18:00 on the 14th was due, is %s late", (taken, duration) => {
    const { message } = late("2025-06-14 18:00", taken).reason;
    expect(message).toMatch(new RegExp(`^Taken ${duration} after the due date`));
  });

  test("cannot be told without a due date, without a time, and with a clock in doubt", () => {
    expect(latenessOf(takenAt("2025-06-14T18:00:00"), null, null)).toMatchObject({
      late: null,
      reason: { code: "no-due-date" },
    });
    expect(late("2025-06-14", null)).toMatchObject({
      late: null,
      reason: { code: "no-time-recorded" },
    });
    expect(late("2025-06-14", "2035-06-14T18:00:00", 3652)).toMatchObject({
      late: null,
      reason: { code: "clock-in-doubt", message: expect.stringContaining("10 years ahead") },
    });
  });
});

describe("a clock that is wrong", () => {
  const class_ = (...times: readonly (readonly [string, string, camera?: string])[]) =>
    clockDoubts(
      times.map(([student, time, camera]) => ({ student, row: takenAt(time, camera ?? null) })),
    );

  test("shows against the middle of the other students'", () => {
    const doubts = class_(
      ["s01", "2025-06-10T10:00:00"],
      ["s02", "2025-06-12T10:00:00"],
      ["s03", "2010-01-01T00:00:07"],
      ["s03", "2010-01-01T00:02:07"],
    );
    expect(doubts.map(({ student }) => student)).toEqual(["s03"]);
    expect(doubts[0]?.days).toBeCloseTo(-5639.4, 0);
  });

  test("a week early or late is no clock, and one or two students are no class", () => {
    expect(
      class_(
        ["s01", "2025-06-01T10:00:00"],
        ["s02", "2025-06-08T10:00:00"],
        ["s03", "2025-06-15T10:00:00"],
      ),
    ).toEqual([]);
    expect(class_(["s01", "2025-06-01T10:00:00"], ["s02", "2005-06-08T10:00:00"])).toEqual([]);
  });

  test("where half of the clocks disagree, nobody is doubted; where fewer do, they are", () => {
    const half = class_(
      ["s01", "2025-06-01T10:00:00"],
      ["s02", "2025-06-02T10:00:00"],
      ["s03", "2015-06-03T10:00:00"],
      ["s04", "2015-06-03T10:00:00"],
    );
    expect(half).toEqual([]);
    const eachItsOwnWay = class_(
      ["s01", "2025-06-01T10:00:00"],
      ["s02", "2025-06-02T10:00:00"],
      ["s03", "2015-06-03T10:00:00"],
      ["s04", "2035-06-03T10:00:00"],
    );
    expect(eachItsOwnWay).toEqual([]);
    const doubts = class_(
      ["s01", "2025-06-01T10:00:00"],
      ["s02", "2025-06-02T10:00:00"],
      ["s03", "2025-06-03T10:00:00"],
      ["s04", "2015-06-03T10:00:00"],
    );
    expect(doubts.map(({ student }) => student)).toEqual(["s04"]);
  });

  test("belongs to one camera: what the student's other camera records is used", () => {
    const doubts = class_(
      ["s01", "2025-06-01T10:00:00"],
      ["s02", "2025-06-02T10:00:00"],
      ["s03", "2025-06-03T10:00:00", "phone"],
      ["s03", "2021-06-03T10:00:00", "old camera"],
    );
    expect(doubts).toMatchObject([{ student: "s03", camera: "old camera" }]);
    const frame = { student: "s03", row: takenAt("2025-06-03T10:00:00", "phone") };
    expect(clockDaysOf(doubts, frame)).toBeNull();
  });
});
