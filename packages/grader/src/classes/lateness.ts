import { median } from "@tonefall/tone-core";
import type { Lateness, Remark } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import type { DueTime } from "./classFile.ts";
import { type ClockTime, readCaptureTime, secondsAfter } from "./dueTime.ts";

/** Clocks that differ from the class's by more than this are in doubt, in days: further than a week's work spreads. Our judgement. */
const DOUBT_DAYS = 30;

/** With fewer students, the class has no clock of its own. */
const LEAST_STUDENTS = 3;

const HOUR = 3600;
const DAY = 24 * HOUR;

/** Clocks that are in doubt, by student: how many days each is ahead of the class's. */
export type ClockDoubts = ReadonlyMap<string, number>;

/** A student's frame of one exercise. */
export interface TimedFrame {
  readonly student: string;
  readonly row: FrameResult;
}

/**
 * The students whose cameras' clocks cannot be right: the middle of their frames' times is over a month from the class's, the
 * middle of all students' middles. A clock that is wrong by less cannot be told from a student who was early or late.
 *
 * @param frames - of one exercise
 */
export function clockDoubts(frames: readonly TimedFrame[]): ClockDoubts {
  const times = new Map<string, number[]>();
  for (const { student, row } of frames) {
    const time = captureTime(row);
    if (time) times.set(student, [...(times.get(student) ?? []), time.localSeconds]);
  }
  const middles = [...times].map(([student, seconds]) => ({ student, middle: median(seconds) }));
  if (middles.length < LEAST_STUDENTS) return new Map();
  const ofClass = median(middles.map(({ middle }) => middle));
  const ahead = middles.map(({ student, middle }) => [student, (middle - ofClass) / DAY] as const);
  const doubted = ahead.filter(([, days]) => Math.abs(days) > DOUBT_DAYS);
  // Where half of the clocks disagree, nobody knows which half is right.
  return new Map(2 * doubted.length < middles.length ? doubted : []);
}

/** When a frame was taken, by its own record; null where that holds no time. */
function captureTime({ exposure }: Pick<FrameResult, "exposure">): ClockTime | null {
  const taken = exposure?.capturedAt.value ?? null;
  return taken === null ? null : readCaptureTime(taken);
}

/**
 * Whether a frame was taken after its exercise was due.
 *
 * @param clockDays - by how many days the student's clock is ahead of the class's; null where it is in no doubt
 */
export function latenessOf(
  row: FrameResult,
  due: DueTime | null,
  clockDays: number | null,
): Lateness {
  const capturedAt = row.exposure?.capturedAt.value ?? null;
  const unknown = (code: string, message: string): Lateness => ({
    late: null,
    hours: null,
    capturedAt,
    reason: { code, message },
  });
  const time = captureTime(row);
  if (!due) return unknown("no-due-date", "The class file gives no due date.");
  if (!time) return unknown("no-time-recorded", "The picture records no time of capture.");
  if (clockDays !== null)
    return unknown("clock-in-doubt", clockText("The camera's clock", clockDays));
  const { seconds, exact } = secondsAfter(time, due);
  const late = seconds > 0;
  return {
    late,
    hours: late ? seconds / HOUR : null,
    capturedAt,
    reason: lateReason(late, seconds, exact),
  };
}

function lateReason(late: boolean, seconds: number, exact: boolean): Remark {
  const zone = exact ? "" : " Local times are compared, because a time zone is missing.";
  const when = late ? `Taken ${durationText(seconds)} after the due date` : "Taken in time";
  return {
    code: late ? "late" : "in-time",
    message: `${when}, by the time that the picture records.${zone}`,
  };
}

/** What is said of a clock that differs from the class's. */
export function clockText(clock: string, days: number): string {
  const about =
    Math.abs(days) >= 730
      ? `${Math.round(Math.abs(days) / 365.25)} years`
      : `${Math.round(Math.abs(days))} days`;
  return `${clock} is about ${about} ${days > 0 ? "ahead of" : "behind"} those of the class, so its times are not used.`;
}

/** `40 minutes`, `26 hours`, `3 days`. */
function durationText(seconds: number): string {
  const [count, unit] =
    seconds < HOUR
      ? [Math.ceil(seconds / 60), "minute"]
      : seconds < 2 * DAY
        ? [Math.round(seconds / HOUR), "hour"]
        : [Math.round(seconds / DAY), "day"];
  return `${count} ${unit}${count === 1 ? "" : "s"}`;
}
