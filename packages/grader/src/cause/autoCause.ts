import type { Cause } from "./cause.ts";
import type { CauseFacts, MeterView } from "./causeFacts.ts";
import { compensationCause, wantedCompensation } from "./compensationCause.ts";
import { middleContrast, unexplained } from "./contrast.ts";
import { evidence } from "./evidence.ts";
import {
  EXACTLY_FOLLOWED_STOPS,
  FOLLOWED_ESTIMATE_STOPS,
  FOLLOWED_STOPS,
  SMALLEST_CHANGE_STOPS,
} from "./limits.ts";
import { notKnown } from "./notKnown.ts";
import { patternCause } from "./patternCause.ts";
import { toningEvidence } from "./toningEvidence.ts";

/** The cause of a miss where the camera set the exposure. */
export function autoCause(facts: CauseFacts): Cause {
  return (
    settingsLeftTheMeter(facts) ??
    (facts.meter ? meteredCause(facts, facts.meter) : patternCause(facts))
  );
}

/** The camera's own record of the light against its settings: the one witness that no pixel can sway. */
function settingsLeftTheMeter({ givenBeyondBrightness, compensation }: CauseFacts): Cause | null {
  if (givenBeyondBrightness === null || compensation === null) return null;
  const beyond = givenBeyondBrightness - compensation;
  if (Math.abs(beyond) <= FOLLOWED_STOPS) return null;
  return {
    code: "settings-changed-after-metering",
    strength: "strong",
    evidence: [
      evidence("brightness-departure", givenBeyondBrightness),
      evidence("compensation", compensation),
    ],
  };
}

function meteredCause(facts: CauseFacts, meter: MeterView): Cause {
  const { compensation, contrast, miss } = facts;
  const set = compensation ?? 0;
  const toning = toningEvidence(facts.exposure);
  // Where the record names a toning, an unusual contrast is not what explains a departure.
  const middle = middleContrast(contrast);
  const explaining = toning ? { least: middle, most: middle } : contrast;
  const departure = unexplained(meter.stops, set, explaining);
  const room = meter.estimate ? FOLLOWED_ESTIMATE_STOPS : FOLLOWED_STOPS;
  const reading = evidence(meter.estimate ? "reading-estimated" : "reading", meter.stops);
  if (Math.abs(departure) > room) {
    // A reading that was clipped lies beyond what it says, so it has departed by this at least.
    const sure = meter.bound === null || (meter.bound === "at least") === departure > 0;
    if (!sure) return notKnown([reading, evidence("reading-is-a-bound")]);
    if (compensation === null) return notKnown([reading, evidence("no-compensation")]);
    return departedCause(facts, [reading, evidence("departure", departure)]);
  }
  const exact = !meter.estimate && !meter.bound && Math.abs(departure) <= EXACTLY_FOLLOWED_STOPS;
  return {
    code: compensationCause(set, miss, contrast),
    strength: exact && compensation !== null ? "strong" : "fair",
    evidence: [
      reading,
      evidence("miss", miss),
      ...(meter.bound ? [evidence("reading-is-a-bound")] : []),
      ...(compensation === null ? [evidence("no-compensation")] : []),
      ...(Math.abs(set) < SMALLEST_CHANGE_STOPS
        ? []
        : [
            evidence("compensation", set),
            evidence("compensation-wanted", wantedCompensation(set, miss, contrast)),
          ]),
    ],
  };
}

/** The picture does not show what the meter asked for: toned since, or metered elsewhere. */
function departedCause(facts: CauseFacts, departure: Cause["evidence"]): Cause {
  const toning = toningEvidence(facts.exposure);
  if (toning) {
    return {
      code: "settings-and-tones-disagree",
      strength: toning.strength,
      evidence: [...toning.evidence, ...departure],
    };
  }
  return patternCause(facts, departure);
}
