import type { Bound } from "@tonefall/tone-core";
import type { BoundedStops } from "../../model/metering.ts";

/**
 * The difference of two numbers of stops, either of which may be only a bound; null where both are and pull apart, so
 * that the difference could be anything.
 */
export function boundedDifference(a: BoundedStops, b: BoundedStops): BoundedStops | null {
  const lessB = b.bound === null ? null : OPPOSITE[b.bound];
  if (a.bound !== null && lessB !== null && a.bound !== lessB) return null;
  return { stops: a.stops - b.stops, bound: a.bound ?? lessB };
}

/** A number of stops that is not a bound. */
export function exactly(stops: number): BoundedStops {
  return { stops, bound: null };
}

const OPPOSITE: Readonly<Record<Bound, Bound>> = { "at least": "at most", "at most": "at least" };
