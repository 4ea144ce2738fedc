import type { Placement } from "@tonefall/tone-core";
import type { Basis } from "../model/result.ts";

/** What has to be measured: a region of a frame on a basis; null is the basis that the frame's format has. */
export interface ToneAsk {
  readonly frame: string;
  /** In text form. */
  readonly region: string;
  /** As people know it: its name in the set, or its text. */
  readonly regionName: string;
  readonly basis: Basis | null;
}

/** Stops from one end to the other; an open end is infinite. */
export interface OpenRange {
  readonly from: number;
  readonly to: number;
}

/** A tone, and where it is claimed to fall. */
export interface PlacedAsk {
  readonly ask: ToneAsk;
  readonly placement: Pick<Placement, "from" | "to" | "text">;
  /** Stops; null is the default of the basis. */
  readonly tolerance: number | null;
}
