import type { DueTime } from "./classFile.ts";

/** A local time, and by how much its clock is ahead of UTC. */
export type ClockTime = Omit<DueTime, "text">;

const DAY_SECONDS = 86_400;

const FORM =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:\.\d{1,9})?)?)?\s?(Z|[+-]\d{2}:?\d{2})?$/;

/**
 * Reads when an exercise is due. A day without a time ends at midnight.
 *
 * @throws Error whose message says what is accepted
 */
export function readDueTime(text: string): DueTime {
  const time = clockTime(text.trim(), DAY_SECONDS - 1);
  if (time) return { text: text.trim(), ...time };
  throw new Error(
    `Expected a date such as 2025-06-14, 2025-06-14 18:00 or 2025-06-14T18:00+02:00 but received "${text.slice(0, 60)}"`,
  );
}

/** Reads a picture's time of capture; null where it is no date and time. */
export function readCaptureTime(text: string): ClockTime | null {
  return text.includes(":") ? clockTime(text, 0) : null;
}

/** @param ofBareDay - second of the day that stands for a date without a time */
function clockTime(text: string, ofBareDay: number): ClockTime | null {
  const [, year, month, day, hour, minute, second = "0", zone] = FORM.exec(text) ?? [];
  if (year === undefined) return null;
  const [y, m, d] = [Number(year), Number(month), Number(day)];
  const midnight = new Date(0);
  midnight.setUTCFullYear(y, m - 1, d);
  // A day that the calendar does not have becomes another.
  if (midnight.getUTCMonth() !== m - 1 || midnight.getUTCDate() !== d) return null;
  const [hours, minutes, seconds] = [Number(hour ?? 0), Number(minute ?? 0), Number(second)];
  if (hours > 23 || minutes > 59 || seconds > 60) return null;
  const ofDay = hour === undefined ? ofBareDay : 3600 * hours + 60 * minutes + seconds;
  return {
    localSeconds: midnight.getTime() / 1000 + ofDay,
    offsetMinutes: zone === undefined ? null : offsetOf(zone),
  };
}

function offsetOf(zone: string): number {
  if (zone === "Z") return 0;
  const sign = zone.startsWith("-") ? -1 : 1;
  const digits = zone.replace(/\D/g, "");
  return sign * (60 * Number(digits.slice(0, 2)) + Number(digits.slice(2)));
}

/** How far one time is after another. */
export interface TimeGap {
  /** Negative where it is before. */
  readonly seconds: number;
  /** Whether both clocks are known to UTC; if not, their local times are compared. */
  readonly exact: boolean;
}

/** How far a time is after another: as instants where both clocks are known, by their local times otherwise. */
export function secondsAfter(time: ClockTime, other: ClockTime): TimeGap {
  const local = time.localSeconds - other.localSeconds;
  if (time.offsetMinutes === null || other.offsetMinutes === null) {
    return { seconds: local, exact: false };
  }
  return { seconds: local - 60 * (time.offsetMinutes - other.offsetMinutes), exact: true };
}
