import { median } from "@tonefall/tone-core";
import type { Lateness, Remark } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import type { DueTime } from "./classFile.ts";
import { type ClockTime, readCaptureTime, secondsAfter } from "./dueTime.ts";
import { cameraOf } from "./frameFlags.ts";

/** Clocks that differ from the class's by more than this are in doubt, in days: further than a week's work spreads. Our judgement. */
const DOUBT_DAYS = 30;

/** With fewer students, the class has no clock of its own. */
const LEAST_STUDENTS = 3;

const HOUR = 3600;
const DAY = 24 * HOUR;

/** A clock that is in doubt: one camera of one student. */
export interface DoubtedClock {
  readonly student: string;
  /** Make and model; null where its files record neither. */
  readonly camera: string | null;
  /** By how many days it is ahead of the class's. */
  readonly days: number;
}

/** A student's frame of one exercise. */
export interface TimedFrame {
  readonly student: string;
  readonly row: FrameResult;
}

/**
 * The clocks that cannot be right: the middle of their frames' times is over a month from the class's, the middle of all clocks'
 * middles. Every camera of a student has a clock of its own. One that is wrong by less looks just like a student who was
 * early or late.
 *
 * @param frames - of one exercise
 */
export function clockDoubts(frames: readonly TimedFrame[]): readonly DoubtedClock[] {
  const clocks = new Map<string, TimedFrame & { readonly times: number[] }>();
  for (const frame of frames) {
    const time = captureTime(frame.row);
    if (!time) continue;
    const key = JSON.stringify([frame.student, cameraOf(frame.row.exposure)]);
    const clock = clocks.get(key) ?? { ...frame, times: [] };
    clock.times.push(time.localSeconds);
    clocks.set(key, clock);
  }
  const all = [...clocks.values()];
  if (new Set(all.map(({ student }) => student)).size < LEAST_STUDENTS) return [];
  const ofClass = median(all.map(({ times }) => median(times)));
  const doubted = all
    .map(({ student, row, times }) => ({
      student,
      camera: cameraOf(row.exposure),
      days: (median(times) - ofClass) / DAY,
    }))
    .filter(({ days }) => Math.abs(days) > DOUBT_DAYS);
  // Where half of the clocks disagree, nobody knows which half is right.
  return 2 * doubted.length < all.length ? doubted : [];
}

/** By how many days the clock that timed a frame is ahead of the class's; null where it is in no doubt. */
export function clockDaysOf(
  doubts: readonly DoubtedClock[],
  { student, row }: TimedFrame,
): number | null {
  const camera = cameraOf(row.exposure);
  const own = doubts.find((clock) => clock.student === student && clock.camera === camera);
  return own?.days ?? null;
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
  const [side, age] = days > 0 ? ["ahead of", "later"] : ["behind", "older"];
  return `${clock} is about ${about} ${side} those of the class, or its frames are that much ${age}; its times are not used.`;
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
