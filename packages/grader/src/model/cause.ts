import type { Note } from "./note.ts";

/** Why a frame missed; stable, branch on these. */
export type CauseCode =
  /** The meter read mostly dark tones and the camera rendered them as middle grey. */
  | "followed-meter-on-dark"
  /** The meter read mostly light tones and the camera rendered them as middle grey. */
  | "followed-meter-on-light"
  /** Compensation, or a change by hand, took the tone further from its placement. */
  | "compensated-wrong-way"
  /** The right direction, not far enough. */
  | "compensated-too-little"
  /** Further than the placement asked. */
  | "compensated-too-far"
  /** Compensation was set in full manual, where it does nothing. */
  | "compensation-ignored-in-manual"
  /** Aperture or time were changed, and automatic ISO cancelled the change. */
  | "auto-iso-undid-change"
  /** The settings are not those that the metering asked for. */
  | "settings-changed-after-metering"
  /** Set by hand, away from what the meter asked for. */
  | "needle-off-centre"
  | "flash-fired"
  /** The light was not the same as in the frame before. */
  | "light-changed"
  /** A step of an automatic bracket, which misses by design. */
  | "bracket-step"
  /** A helper in the camera or an edit toned the picture: settings and tones disagree. */
  | "settings-and-tones-disagree"
  /** The recorded pattern cannot be laid over the picture, so nobody knows what the meter looked at. */
  | "pattern-not-simulated"
  /** The evidence supports none of the others. */
  | "not-known";

/** How well a cause is supported. */
export type Strength = "strong" | "fair";

/** Stable codes of facts without a size. */
export type FactCode =
  | "flash-recorded"
  | "composite-recorded"
  | "custom-rendering-recorded"
  | "contrast-recorded"
  | "software-recorded"
  | "no-metadata"
  | "no-mode"
  | "no-pattern"
  | "no-compensation"
  | "auto-bracket"
  | "manual-recorded"
  | "reading-is-a-bound"
  | "pattern-recorded"
  | "spot-place-unknown"
  | "weighting-unpublished"
  | "rendering-explains"
  | "toned-as-a-whole"
  | "brightness-recorded";

/** Stable codes of facts with a size. */
export type SizedFactCode =
  | "miss"
  | "reading"
  | "reading-estimated"
  | "compensation"
  | "compensation-wanted"
  | "departure"
  | "brightness-departure"
  | "needle"
  | "miss-before"
  | "change-of-settings"
  | "change-of-fall"
  | "change-of-light"
  | "change-by-hand"
  | "change-of-iso";

/** One fact that a cause rests on. */
export interface Evidence extends Note<FactCode | SizedFactCode> {
  /** The fact's size in stops, on the row's basis where it was measured; null where it has none. */
  readonly stops: number | null;
}

/** Why a frame missed, with what says so. */
export interface Cause {
  /** Branch on this. */
  readonly code: CauseCode;
  /**
   * `strong` where measurements agree with the record; `fair` where an estimate or a record alone carries it; null where
   * the cause is not known, which nothing supports.
   */
  readonly strength: Strength | null;
  /** Never empty. */
  readonly evidence: readonly Evidence[];
}

/** People are shown this many causes at most; JSON holds all. */
export const MOST_CAUSES_SHOWN = 2;
