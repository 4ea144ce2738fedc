import type { MeterView } from "./causeFacts.ts";
import type { Witness } from "./lightMiss.ts";
import {
  FOLLOWED_ESTIMATE_STOPS,
  FOLLOWED_STOPS,
  READING_ESTIMATE_UNCERTAINTY,
  READING_UNCERTAINTY,
} from "./limits.ts";

/** How far a reading may lie from what the camera aimed at and still be followed, stops. */
export function followedRoom({ estimate }: MeterView): number {
  return estimate ? FOLLOWED_ESTIMATE_STOPS : FOLLOWED_STOPS;
}

/**
 * What a reading says of the curve, its light being known.
 *
 * @param light - where the exposure put what the meter read, stops from middle grey
 */
export function witnessOf(
  { stops, bound, estimate }: MeterView,
  light: number,
): readonly Witness[] {
  return [
    {
      shown: stops,
      light,
      bound,
      uncertainty: estimate ? READING_ESTIMATE_UNCERTAINTY : READING_UNCERTAINTY,
    },
  ];
}
