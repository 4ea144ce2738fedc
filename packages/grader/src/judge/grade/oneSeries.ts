import type { FrameResult } from "../../model/result.ts";

/** Frames further apart than this say nothing about each other's light. Our judgement. */
const LONGEST_GAP_MS = 10 * 60_000;

type Taken = Pick<FrameResult, "file"> & {
  readonly exposure: Pick<NonNullable<FrameResult["exposure"]>, "capturedAt"> | null;
};

/** Whether two frames lie in one folder: one photographer's work, in a class that hands in a folder each. */
export function inOneFolder(a: Pick<FrameResult, "file">, b: Pick<FrameResult, "file">): boolean {
  return folderOf(a.file) === folderOf(b.file);
}

/**
 * Time from one frame to the next as the camera wrote it, milliseconds; null where a file does not say.
 *
 * Clocks are compared as they stand: cameras hardly ever record a time zone.
 */
function timeBetween(a: Taken, b: Taken): number | null {
  const [from, to] = [a, b].map(({ exposure }) => exposure?.capturedAt.value ?? null);
  if (!from || !to) return null;
  const apart = Date.parse(to) - Date.parse(from);
  return Number.isFinite(apart) ? apart : null;
}

/** Whether two frames are known to have been taken within minutes of each other, in the order given. */
export function soonAfter(a: Taken, b: Taken): boolean {
  const apart = timeBetween(a, b);
  return apart !== null && apart >= 0 && apart <= LONGEST_GAP_MS;
}

/**
 * Whether two frames may be shown as one series: from one folder, and not known to have been taken more than ten minutes
 * apart.
 */
export function mayBeOneSeries(a: Taken, b: Taken): boolean {
  const apart = timeBetween(a, b);
  return inOneFolder(a, b) && (apart === null || Math.abs(apart) <= LONGEST_GAP_MS);
}

function folderOf(file: string): string {
  return file.slice(0, file.lastIndexOf("/") + 1);
}
