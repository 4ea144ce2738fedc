import type { FrameResult, RunSummary } from "../../model/result.ts";
import { countText } from "../../model/words.ts";

/** The summary of no rows. */
export const NOTHING_COUNTED: RunSummary = {
  frames: 0,
  within: 0,
  over: 0,
  under: 0,
  undecided: 0,
  withoutPlacement: 0,
  failed: 0,
};

/**
 * Counts a run's rows by what became of them.
 *
 * @example
 * ```ts
 * summarise([]).frames; // => 0
 * ```
 */
export function summarise(frames: readonly FrameResult[]): RunSummary {
  return frames.reduce(counted, NOTHING_COUNTED);
}

/** A summary with one more row counted. */
export function counted(
  summary: RunSummary,
  { verdict, failure }: Pick<FrameResult, "verdict" | "failure">,
): RunSummary {
  const more = { ...summary, frames: summary.frames + 1 };
  if (failure) more.failed++;
  if (verdict) more[verdict]++;
  if (!verdict && !failure) more.withoutPlacement++;
  return more;
}

/** A summary in one line: `12 frames: 5 within, 4 lighter, 3 darker`. */
export function summaryText(summary: RunSummary): string {
  const parts: [number, string][] = [
    [summary.within, "within"],
    [summary.over, "lighter"],
    [summary.under, "darker"],
    [summary.undecided, "cannot tell"],
    [summary.withoutPlacement, "measured without a placement"],
    [summary.failed, "not graded"],
  ];
  const counts = parts
    .filter(([number]) => number > 0)
    .map(([number, word]) => `${number} ${word}`);
  return `${countText(summary.frames, "frame")}: ${counts.join(", ") || "nothing"}`;
}
