import type { MeteringPattern } from "@tonefall/exif-reader";
import type { Bound, SceneBand } from "@tonefall/tone-core";
import type { Note } from "./note.ts";

/** A metering pattern that can be laid over a picture. */
export type SimulatedPattern = "spot" | "partial" | "centre-weighted" | "average" | "multi-segment";

/** A number of stops, or the end beyond which it lies. */
export interface BoundedStops {
  /** Stops; + is brighter. */
  readonly stops: number;
  /** `at least` or `at most` where clipping or black hides the true value. */
  readonly bound: Bound | null;
}

/** What a metering pattern sees in a frame. */
export interface Reading extends BoundedStops {
  /** The pattern that was laid over the frame. */
  readonly pattern: SimulatedPattern;
  /** Stops from middle grey, on the row's basis: 0 where the camera followed this reading. */
  readonly stops: number;
  /** Whether the weighting is our own stand-in for an unpublished one. */
  readonly estimate: boolean;
  /**
   * Where the brief's region would have fallen had the camera followed this reading without compensation: fall minus
   * reading. Null where nothing can be said, as where both are only bounds.
   */
  readonly fallIfFollowed: BoundedStops | null;
}

/** Who set the exposure, as far as the file says. */
export type SplitMode = "auto" | "manual" | "unknown";

/**
 * A miss taken apart: what the meter did, and how far the tone is from where it belongs.
 *
 * Readings and falls share the row's basis, so their differences agree with each other. On the rendered basis they are
 * stops of the picture: around the mid-tones a camera's curve shows a scene stop as 1.13 to 1.48 of them, on the
 * shoulder as less. Compensation is in stops of light; so a rendered departure or wanted compensation has the right
 * sign, and a size that is as uncertain as the curve.
 */
export interface MissSplit {
  /** What the recorded pattern sees; null where it cannot be simulated. */
  readonly reading: Reading | null;
  /** The pattern as the file records it; null where it records none. */
  readonly recordedPattern: MeteringPattern | null;
  /** Who set the exposure. */
  readonly mode: SplitMode;
  /** The compensation that was set, stops; null where the file does not say. */
  readonly compensationStops: number | null;
  /** Reading minus compensation: how far the camera left its meter. Automatic modes only. */
  readonly departureStops: BoundedStops | null;
  /** Where the needle stood: the reading itself. Manual only. */
  readonly needleStops: BoundedStops | null;
  /** Compensation that would have placed the tone right: compensation minus error. Automatic modes only. */
  readonly wantedCompensationStops: BoundedStops | null;
  /** What the split's reader should know. */
  readonly notes: readonly Note[];
}

/** The settings against published light levels of usual scenes: plausibility, never a verdict. */
export interface LightSanity {
  /** Exposure value of the exact settings at ISO 100: the light that they suit. */
  readonly ev100: number;
  /** Luminance of what fell at middle grey, cd/m², by the meter equation with {@link LightSanity.k}. */
  readonly luminanceAtMiddleGrey: number;
  /** Meter constant K, cd·s·ISO/m². */
  readonly k: number;
  /** Published scenes whose light lies within 1 EV, the nearest first. */
  readonly scenes: readonly SceneBand[];
  /** Whether any published scene fits; null where flash or merging keeps the settings from describing the light. */
  readonly plausible: boolean | null;
}
