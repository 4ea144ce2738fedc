import type { Bound } from "@tonefall/tone-core";
import type { ExposureError } from "./result.ts";

/** The part of an error that says which of its figures the verdict rests on. */
export type DecidedError = Pick<ExposureError, "stops" | "median" | "bound" | "decidedBy">;

/**
 * The one figure of an error that its verdict rests on, and that every output shows: the mean, or the median where that
 * decided, which is not a bound.
 */
export function decidedError({ stops, median, bound, decidedBy }: DecidedError): {
  readonly stops: number;
  readonly bound: Bound | null;
} {
  return decidedBy === "median" ? { stops: median, bound: null } : { stops, bound };
}
