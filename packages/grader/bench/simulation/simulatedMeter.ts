/** How a simulated camera weighs the frame. */
export type SimulatedMetering =
  | "spot"
  | "partial"
  | "centre-weighted"
  | "average"
  | "multi-segment";

/** All of them. */
export const SIMULATED_METERINGS: readonly SimulatedMetering[] = [
  "spot",
  "partial",
  "centre-weighted",
  "average",
  "multi-segment",
];

/** A place in fractions of the frame. */
export interface Place {
  readonly x: number;
  readonly y: number;
}
