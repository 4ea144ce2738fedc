import type { Cause, Evidence } from "../../model/cause.ts";
import type { Placement } from "../../model/result.ts";
import { advisedLight } from "../advice/advisedLight.ts";
import { automaticIsoCause } from "./automaticIsoCause.ts";
import type { CauseFacts, CauseRow, MeterView } from "./causeFacts.ts";
import { compensationCause } from "./compensationCause.ts";
import { evidence, sizedEvidence } from "./evidence.ts";
import { frameStep } from "./frameStep.ts";
import { type LightMiss, lightMiss } from "./lightMiss.ts";
import {
  EXACTLY_FOLLOWED_STOPS,
  FOLLOWED_STOPS,
  MISSED_CHANCE,
  SMALLEST_CHANGE_STOPS,
  TONED_STOPS,
} from "./limits.ts";
import { followedRoom, witnessOf } from "./meterView.ts";
import { notKnown } from "./notKnown.ts";
import { patternCause } from "./patternCause.ts";
import { lightBeyond, likelyLight } from "./renderedCurve.ts";
import { toningEvidence } from "./toningEvidence.ts";

/** The cause of a miss where the camera set the exposure. */
export function autoCause(facts: CauseFacts, preceding: readonly CauseRow[]): Cause {
  const step = frameStep(facts, preceding);
  return (
    settingsLeftTheMeter(facts) ??
    (step && automaticIsoCause(facts, step)) ??
    (facts.meter ? meteredCause(facts, facts.meter, preceding) : patternCause(facts))
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
      sizedEvidence("brightness-departure", givenBeyondBrightness),
      sizedEvidence("compensation", compensation),
    ],
  };
}

function meteredCause(facts: CauseFacts, meter: MeterView, preceding: readonly CauseRow[]): Cause {
  const { compensation, row } = facts;
  const set = compensation ?? 0;
  const departure = lightBeyond(row, meter.stops, set);
  const reading = sizedEvidence(meter.estimate ? "reading-estimated" : "reading", meter.stops);
  if (Math.abs(departure) > followedRoom(meter)) {
    // A reading that was clipped lies beyond what it says, so it has departed by this at least.
    const sure = meter.bound === null || (meter.bound === "at least") === departure > 0;
    if (!sure) return notKnown([reading, evidence("reading-is-a-bound")]);
    if (compensation === null) return notKnown([reading, evidence("no-compensation")]);
    return departedCause(facts, departure, [reading, sizedEvidence("departure", departure)]);
  }
  const missed = lightMiss(facts, compensation === null ? [] : witnessOf(meter, set));
  if (missed.chance < MISSED_CHANCE) {
    const found = [reading, sizedEvidence("miss", facts.miss)];
    const toned =
      departure * facts.side > EXACTLY_FOLLOWED_STOPS && tonedCause(facts, departure, found);
    return toned || notKnown([evidence("rendering-explains"), ...found]);
  }
  const { stops } = advisedLight(facts, preceding);
  return followedCause(facts, meter, missed, departure, stops);
}

function followedCause(
  { compensation, side, miss }: CauseFacts,
  meter: MeterView,
  missed: LightMiss,
  departure: number,
  advised: number | null,
): Cause {
  const set = compensation ?? 0;
  const light = side * Math.abs(missed.stops);
  const exact = !meter.estimate && !meter.bound && Math.abs(departure) <= EXACTLY_FOLLOWED_STOPS;
  return {
    code: compensationCause(set, light),
    strength: exact && compensation !== null ? "strong" : "fair",
    evidence: [
      sizedEvidence(meter.estimate ? "reading-estimated" : "reading", meter.stops),
      sizedEvidence("miss", miss),
      ...(meter.bound ? [evidence("reading-is-a-bound")] : []),
      ...(compensation === null ? [evidence("no-compensation")] : []),
      ...(Math.abs(set) < SMALLEST_CHANGE_STOPS
        ? []
        : [
            sizedEvidence("compensation", set),
            // The advice's own figure, so that cause and advice never give two.
            ...(advised === null ? [] : [sizedEvidence("compensation-wanted", set + advised)]),
          ]),
    ],
  };
}

/** The picture does not show what the meter asked for: toned since, or metered elsewhere. */
function departedCause(facts: CauseFacts, departure: number, found: readonly Evidence[]): Cause {
  const toned = tonedCause(facts, departure, found);
  if (toned) return toned;
  return tonedAsAWhole(facts)
    ? notKnown([evidence("toned-as-a-whole"), ...found])
    : patternCause(facts, found);
}

/** Whether the subject lies from the reading as a right exposure would have put it: the whole picture was moved, perhaps. */
function tonedAsAWhole({ row, meter, shown, compensation }: CauseFacts): boolean {
  if (!meter || meter.bound) return false;
  const { from, to } = row.placement as Placement;
  const light = (compensation ?? 0) + likelyLight(row, shown) - likelyLight(row, meter.stops);
  return light > from - TONED_STOPS && light < to + TONED_STOPS;
}

/** Toned, where the record says how. */
function tonedCause(
  { exposure, compensation }: CauseFacts,
  departure: number,
  found: readonly Evidence[],
): Cause | null {
  const toning = toningEvidence(exposure, departure, compensation ?? 0);
  return (
    toning && {
      code: "settings-and-tones-disagree",
      strength: toning.strength,
      evidence: [...toning.evidence, ...found],
    }
  );
}
