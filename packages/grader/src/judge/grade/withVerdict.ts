import type { Note } from "../../model/note.ts";
import type { FrameResult } from "../../model/result.ts";
import { MEDIAN_STANDS_SHARE } from "./fallOf.ts";
import { judge } from "./judge.ts";

/**
 * A measured row with its error and verdict; without a placement, a tolerance or a fall, the row as it is.
 *
 * @param censoredShare - share of the region beyond the end of the scale that the fall's bound speaks of, in [0, 1]
 */
export function withVerdict(row: FrameResult, censoredShare: number): FrameResult {
  const { placement, tolerance, fall } = row;
  if (!placement || tolerance === null || !fall) return row;
  const uncertainty = { total: fall.uncertainty, parts: fall.uncertaintyParts };
  const { error, verdict, apart } = judge(fall, placement, tolerance, uncertainty, censoredShare);
  const notes = [
    ...(error.decidedBy === "median" ? [JUDGED_BY_MEDIAN] : []),
    ...(apart ? [MEAN_AND_MEDIAN_APART] : []),
  ];
  return { ...row, error, verdict, notes: [...row.notes, ...notes] };
}

const JUDGED_BY_MEDIAN: Note = {
  code: "judged-by-median",
  message: `The mean is only a bound; the verdict rests on the median, which holds while less than ${100 * MEDIAN_STANDS_SHARE} % of the region is beyond the end of the scale.`,
};

const MEAN_AND_MEDIAN_APART: Note = {
  code: "mean-and-median-apart",
  message:
    "The mean is only a bound, and the median lies on the other side of the placement: the verdict is left open. Choose a region of one tone.",
};
