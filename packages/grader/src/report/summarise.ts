import type { FrameResult, RunSummary } from "../result.ts";

/**
 * Counts a run's rows by what became of them.
 *
 * @example
 * ```ts
 * summarise([]).frames; // => 0
 * ```
 */
export function summarise(frames: readonly FrameResult[]): RunSummary {
  const count = (holds: (frame: FrameResult) => boolean): number => frames.filter(holds).length;
  return {
    frames: frames.length,
    within: count(({ verdict }) => verdict === "within"),
    over: count(({ verdict }) => verdict === "over"),
    under: count(({ verdict }) => verdict === "under"),
    undecided: count(({ verdict }) => verdict === "undecided"),
    withoutPlacement: count(({ verdict, failure }) => verdict === null && !failure),
    failed: count(({ failure }) => failure !== null),
  };
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
  const told = parts.filter(([number]) => number > 0).map(([number, word]) => `${number} ${word}`);
  return `${summary.frames} ${summary.frames === 1 ? "frame" : "frames"}: ${told.join(", ") || "nothing"}`;
}
