import { DEFAULT_TOLERANCE } from "@tonefall/tone-core";
import type { Basis } from "../../model/result.ts";
import type { FrameBasis } from "../../picture/frame.ts";

/**
 * The tolerance of a claim whose brief gives none, in stops.
 *
 * @param basis - of the claim
 * @param frameBasis - what the frame itself can give; null for a claim on settings alone
 */
export function defaultTolerance(basis: Basis, frameBasis: FrameBasis | null): number {
  if (basis === "rendered") return DEFAULT_TOLERANCE.rendered;
  // A raw file without a measured response knows the light but not where its middle grey sits.
  if (basis === "scene" && frameBasis === "scene") return DEFAULT_TOLERANCE.raw;
  return DEFAULT_TOLERANCE["unknown-jpeg"];
}
