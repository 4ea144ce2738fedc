import type { MeteringPattern } from "@tonefall/exif-reader";
import type { Cause, Evidence } from "../../model/cause.ts";
import type { CauseFacts } from "./causeFacts.ts";
import { type EvidenceCode, evidence } from "./evidence.ts";
import { notKnown } from "./notKnown.ts";

/** Why what a pattern saw cannot be told from its name. */
const UNTOLD: Readonly<Partial<Record<MeteringPattern, EvidenceCode>>> = {
  spot: "spot-place-unknown",
  "multi-spot": "pattern-recorded",
  other: "pattern-recorded",
  unknown: "pattern-recorded",
};

/**
 * The cause where what the meter saw is not known: that itself where the recorded pattern is the reason, and otherwise
 * none.
 *
 * @param departure - what does not fit the recorded pattern, if it could be laid over the frame
 */
export function patternCause({ exposure }: CauseFacts, departure: readonly Evidence[] = []): Cause {
  const pattern = exposure.meteringPattern.value;
  if (pattern === null) return notKnown([evidence("no-pattern"), ...departure]);
  const why = UNTOLD[pattern];
  if (why) {
    return {
      code: "pattern-not-simulated",
      strength: "fair",
      evidence: [evidence(why), ...departure],
    };
  }
  if (pattern === "multi-segment")
    return notKnown([evidence("weighting-unpublished"), ...departure]);
  return notKnown(departure.length > 0 ? departure : "pattern-recorded");
}
