import type { Bound, Verdict } from "@tonefall/tone-core";
import type { CauseCode } from "../../model/cause.ts";

/** What progress sees of one frame that was handed in. */
export interface ProgressFrame {
  /** The student's code. */
  readonly student: string;
  /** The exercise it answers. */
  readonly exercise: string;
  /** The task of that exercise. */
  readonly task: string;
  /** The file, as its row names it. */
  readonly file: string;
  /** Where the tone was to land, stops from middle grey: the middle of a range; null without a placement. */
  readonly placeStops: number | null;
  /** Null without a verdict. */
  readonly verdict: Verdict | null;
  /** The error that decided, stops; null where nothing was measured. */
  readonly errorStops: number | null;
  /** Whether the true error is at least or at most that; null where it is neither. */
  readonly bound: Bound | null;
  /** The best supported cause; null where the frame did not miss. */
  readonly cause: CauseCode | null;
  /** Whether it looks like a frame of somebody else or of an earlier exercise, so that it earns no praise; left out where not. */
  readonly mayBeCopied?: boolean;
}

/** A frame whose error counts. */
export type JudgedFrame = ProgressFrame & { readonly errorStops: number };

/** Whether a frame was held or missed. One that cannot tell counts neither way. */
export function isJudged(frame: ProgressFrame): frame is JudgedFrame {
  return frame.errorStops !== null && (isMiss(frame) || frame.verdict === "within");
}

/** Whether the tone fell lighter or darker than it was placed. */
export function isMiss({ verdict }: Pick<ProgressFrame, "verdict">): boolean {
  return verdict === "over" || verdict === "under";
}
