import type { ReadyBrief } from "../brief/brief.ts";
import type { FrameResult, ReadResult } from "../model/result.ts";

/** The row of a frame that has not been graded yet. */
export function emptyRow(read: ReadResult, brief: ReadyBrief): FrameResult {
  return {
    ...read,
    basis: null,
    picture: null,
    region: brief.regionText,
    pixels: null,
    placement: brief.placement,
    tolerance: brief.tolerance,
    fall: null,
    error: null,
    verdict: null,
    split: null,
    causes: [],
    next: null,
    clipped: null,
    crushed: null,
    sampling: null,
    sensor: null,
  };
}
