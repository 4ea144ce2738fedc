import { median } from "@tonefall/tone-core";
import type { CauseCode } from "../../model/cause.ts";
import { isJudged, isMiss, type JudgedFrame, type ProgressFrame } from "./progressFrame.ts";

/** Something that went better than before: a fact about the frames, not a trend. */
export type Improvement =
  /** A cause of two earlier exercises or more, behind no miss of the last two, whose frames were mostly held. */
  | {
      /** Branch on this. */
      readonly kind: "cause-gone";
      /** The cause. */
      readonly cause: CauseCode;
      /** The frames, as results name them. */
      readonly files: readonly string[];
    }
  /** The last exercise has the smallest median miss so far, and at most half of the first one's. */
  | {
      /** Branch on this. */
      readonly kind: "closest-yet";
      /** Median size of the miss, stops. */
      readonly firstStops: number;
      /** Median size of the last miss, stops. */
      readonly lastStops: number;
      /** The exercise's ID. */
      readonly exercise: string;
    }
  /** Every frame of the last exercise was held, after misses before. */
  | {
      /** Branch on this. */
      readonly kind: "all-held";
      /** The exercise's ID. */
      readonly exercise: string;
      /** The frames, as results name them. */
      readonly files: readonly string[];
    };

/** A miss that shrank by less, stops, is none that anybody sees: half of the usual tolerance. */
const LEAST_CHANGE = 1 / 6;

/** Exercises in which a cause that is gone does not appear. */
const QUIET = 2;

/** A cause that was seen in fewer exercises was an accident. */
const SEEN_BEFORE = 2;

/**
 * What improved, as far as the frames show it.
 *
 * @param frames - of one student, in the order of the exercises
 * @param exercises - in their order
 */
export function whatImproved(
  frames: readonly ProgressFrame[],
  exercises: readonly string[],
): Improvement[] {
  const judged = frames.filter(isJudged);
  const weeks = exercises
    .map((exercise) => ({ exercise, frames: judged.filter((one) => one.exercise === exercise) }))
    .filter(({ frames }) => frames.length > 0);
  const last = weeks.at(-1);
  const before = weeks.slice(0, -1);
  if (!last || before.length === 0) return [];
  // Nobody is praised for a frame that may be another's; nor is the other, since frames do not tell whose it was.
  if (last.frames.some(({ mayBeCopied }) => mayBeCopied)) return causesGone(weeks);
  return [...allHeld(last, before), ...closestYet(last, before), ...causesGone(weeks)];
}

interface Week {
  readonly exercise: string;
  readonly frames: readonly JudgedFrame[];
}

function allHeld({ exercise, frames }: Week, before: readonly Week[]): Improvement[] {
  const missedBefore = before.some((week) => week.frames.some(isMiss));
  if (!missedBefore || frames.some(isMiss)) return [];
  return [{ kind: "all-held", exercise, files: frames.map(({ file }) => file) }];
}

function closestYet(last: Week, before: readonly Week[]): Improvement[] {
  const [firstStops, ...others] = before.map(sizeOf);
  const lastStops = sizeOf(last);
  if (firstStops === undefined || 2 * lastStops > firstStops) return [];
  if (firstStops - lastStops < LEAST_CHANGE || !before[0]?.frames.some(isMiss)) return [];
  if (others.some((size) => size <= lastStops)) return [];
  return [{ kind: "closest-yet", firstStops, lastStops, exercise: last.exercise }];
}

function causesGone(weeks: readonly Week[]): Improvement[] {
  const [earlier, recent] = [weeks.slice(0, -QUIET), weeks.slice(-QUIET)];
  const recentCauses = new Set(recent.flatMap(causesOf));
  // A miss whose cause nobody knows may have the old one.
  if (recent.some(({ frames }) => frames.some((frame) => isMiss(frame) && !isExplained(frame)))) {
    return [];
  }
  const causes = new Set(earlier.flatMap(causesOf));
  return [...causes]
    .filter((cause) => cause !== "not-known" && !recentCauses.has(cause))
    .filter((cause) =>
      areMostlyHeld(recent.flatMap(({ frames }) => frames).filter(couldShow(cause))),
    )
    .filter(
      (cause) => earlier.filter((week) => causesOf(week).includes(cause)).length >= SEEN_BEFORE,
    )
    .map((cause) => ({
      kind: "cause-gone" as const,
      cause,
      files: earlier
        .flatMap(({ frames }) => frames)
        .filter((frame) => frame.cause === cause)
        .map(({ file }) => file),
    }));
}

function isExplained({ cause }: ProgressFrame): boolean {
  return cause !== null && cause !== "not-known";
}

/** Whether there are frames, and at least half of them were held. */
function areMostlyHeld(frames: readonly JudgedFrame[]): boolean {
  return frames.length > 0 && 2 * frames.filter(isMiss).length <= frames.length;
}

/** Whether a frame could have missed by a cause: a meter misleads on dark or light tones alone. */
function couldShow(cause: CauseCode): (frame: ProgressFrame) => boolean {
  return ({ placeStops }) => {
    if (placeStops === null) return true;
    if (cause === "followed-meter-on-dark") return placeStops < 0;
    return cause !== "followed-meter-on-light" || placeStops > 0;
  };
}

function causesOf({ frames }: Week): CauseCode[] {
  return frames.filter(isMiss).flatMap(({ cause }) => (cause ? [cause] : []));
}

function sizeOf({ frames }: Week): number {
  return median(frames.map(({ errorStops }) => Math.abs(errorStops)));
}
