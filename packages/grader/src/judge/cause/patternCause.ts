import type { MeteringPattern } from "@tonefall/exif-reader";
import type { Cause, Evidence, FactCode } from "../../model/cause.ts";
import type { CauseFacts } from "./causeFacts.ts";
import { evidence } from "./evidence.ts";
import { notKnown } from "./notKnown.ts";

/** The patterns that cannot be laid over a picture, and why. */
const NOT_SIMULATED: Readonly<Partial<Record<MeteringPattern, FactCode>>> = {
  spot: "spot-place-unknown",
  "multi-spot": "pattern-recorded",
  other: "pattern-recorded",
  unknown: "pattern-recorded",
};

/**
 * The cause where nobody knows what the meter saw: `pattern-not-simulated` where the recorded pattern is the reason, and
 * `not-known` otherwise.
 *
 * @param departure - what does not fit the recorded pattern, where it could be laid over the frame
 */
export function patternCause({ exposure }: CauseFacts, departure: readonly Evidence[] = []): Cause {
  const pattern = exposure.meteringPattern.value;
  if (pattern === null) return notKnown([evidence("no-pattern"), ...departure]);
  const why = NOT_SIMULATED[pattern];
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
