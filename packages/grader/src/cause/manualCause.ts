import type { Cause, CauseCode, Evidence } from "./cause.ts";
import type { CauseFacts, CauseRow } from "./causeFacts.ts";
import { compensationCause } from "./compensationCause.ts";
import { unexplained } from "./contrast.ts";
import { evidence } from "./evidence.ts";
import { type FrameStep, frameStep } from "./frameStep.ts";
import {
  EXACTLY_FOLLOWED_STOPS,
  FOLLOWED_ESTIMATE_STOPS,
  FOLLOWED_STOPS,
  FRAMES_AGREE_STOPS,
  LIGHT_CHANGE_STOPS,
  SMALL_MISS_STOPS,
  SMALLEST_CHANGE_STOPS,
} from "./limits.ts";
import { notKnown } from "./notKnown.ts";
import { patternCause } from "./patternCause.ts";
import { toningEvidence } from "./toningEvidence.ts";

/**
 * The cause of a miss where the exposure was set by hand.
 *
 * A needle off its centre is no cause by itself: it may have been set there, or the light, the settings or the view may
 * have changed since. What changed is told by a frame before.
 */
export function manualCause(facts: CauseFacts, preceding: readonly CauseRow[]): Cause {
  const step = frameStep(facts, preceding);
  return (
    (step &&
      (undoneByIso(facts, step) ?? changedLight(facts, step) ?? changedSettings(facts, step))) ??
    ignoredCompensation(facts) ??
    needleCause(facts)
  );
}

/** Aperture and time went the right way, the ISO the other, and the tone stayed. */
function undoneByIso({ side, miss }: CauseFacts, step: FrameStep): Cause | null {
  const { byHand, byIso, given, fall, missBefore } = step;
  const changed = Math.abs(byHand) > SMALLEST_CHANGE_STOPS && Math.sign(byHand) === -side;
  const undone = Math.abs(given) < SMALLEST_CHANGE_STOPS && Math.abs(fall) <= FRAMES_AGREE_STOPS;
  if (!changed || !undone || Math.sign(missBefore) !== side) return null;
  return strong("auto-iso-undid-change", [
    evidence("change-by-hand", byHand),
    evidence("change-of-iso", byIso),
    evidence("miss-before", missBefore),
    evidence("miss", miss),
  ]);
}

/** The frame moved by more than the settings did, away from a tone that lay better before. */
function changedLight(facts: CauseFacts, step: FrameStep): Cause | null {
  const { light, fall, reading, missBefore, given } = step;
  if (Math.abs(light) < LIGHT_CHANGE_STOPS || Math.sign(light) !== facts.side) return null;
  if (!layBetter(missBefore, facts)) return null;
  // Another view changes the reading and the subject apart from each other; another light changes them alike.
  if (reading !== null && Math.abs(reading - fall) > LIGHT_CHANGE_STOPS) return null;
  return {
    code: "light-changed",
    strength: reading === null ? "fair" : "strong",
    evidence: [
      evidence("change-of-light", light),
      evidence("change-of-settings", given),
      evidence("change-of-fall", fall),
      evidence("miss-before", missBefore),
    ],
  };
}

/** Whether the frame before was near enough to its placement for the miss to have come since. */
function layBetter(missBefore: number, { miss }: CauseFacts): boolean {
  return Math.abs(missBefore) <= Math.abs(miss) / 2;
}

/** In the same light the settings moved: off a tone that held, or after one that missed. */
function changedSettings(facts: CauseFacts, step: FrameStep): Cause | null {
  const { side, miss } = facts;
  const { given, light, missBefore, fall } = step;
  if (Math.abs(given) < SMALLEST_CHANGE_STOPS || Math.abs(light) >= LIGHT_CHANGE_STOPS) return null;
  const found = [
    evidence("change-of-settings", given),
    evidence("change-of-fall", fall),
    evidence("miss-before", missBefore),
    evidence("miss", miss),
  ];
  if (Math.abs(missBefore) <= SMALL_MISS_STOPS && layBetter(missBefore, facts)) {
    return Math.sign(given) === side ? strong("settings-changed-after-metering", found) : null;
  }
  return strong(changeAfterMiss(given, missBefore, miss), found);
}

/** What a change did to a tone that had missed before it. */
function changeAfterMiss(given: number, missBefore: number, miss: number): CauseCode {
  if (Math.sign(given) === Math.sign(missBefore)) return "compensated-wrong-way";
  return Math.sign(miss) === Math.sign(missBefore)
    ? "compensated-too-little"
    : "compensated-too-far";
}

/** Compensation that would have helped, had it done anything. */
function ignoredCompensation({
  compensation,
  side,
  meter,
  contrast,
  miss,
}: CauseFacts): Cause | null {
  if (compensation === null || Math.abs(compensation) < SMALLEST_CHANGE_STOPS) return null;
  if (Math.sign(compensation) !== -side || !meter) return null;
  // With an automatic ISO it does act: then the reading lies at the compensation.
  const fromCompensation = Math.abs(unexplained(meter.stops, compensation, contrast));
  const room = meter.estimate ? FOLLOWED_ESTIMATE_STOPS : FOLLOWED_STOPS;
  if (Math.abs(meter.stops) > room || Math.abs(meter.stops) > fromCompensation) return null;
  return {
    code: "compensation-ignored-in-manual",
    strength: meter.estimate ? "fair" : "strong",
    evidence: [
      evidence("manual-recorded"),
      evidence("compensation", compensation),
      evidence("needle", meter.stops),
      evidence("miss", miss),
    ],
  };
}

function needleCause(facts: CauseFacts): Cause {
  const { meter, miss, contrast } = facts;
  if (!meter) return patternCause(facts);
  const needle = evidence("needle", meter.stops);
  if (Math.abs(meter.stops) > (meter.estimate ? FOLLOWED_ESTIMATE_STOPS : FOLLOWED_STOPS)) {
    return brightnessDisagrees(facts) ?? notKnown([needle, evidence("manual-recorded")]);
  }
  return {
    code: compensationCause(0, miss, contrast),
    strength:
      !meter.estimate && !meter.bound && Math.abs(meter.stops) <= EXACTLY_FOLLOWED_STOPS
        ? "strong"
        : "fair",
    evidence: [
      evidence("manual-recorded"),
      needle,
      evidence("miss", miss),
      ...(meter.bound ? [evidence("reading-is-a-bound")] : []),
    ],
  };
}

/** The camera's record of the light has the needle elsewhere than the picture, and the record says what toned it. */
function brightnessDisagrees({
  meter,
  givenBeyondBrightness,
  contrast,
  exposure,
}: CauseFacts): Cause | null {
  const toning = toningEvidence(exposure);
  if (!meter || !toning || givenBeyondBrightness === null) return null;
  const apart = unexplained(meter.stops, givenBeyondBrightness, contrast);
  if (Math.abs(apart) <= FOLLOWED_STOPS) return null;
  return {
    code: "settings-and-tones-disagree",
    strength: toning.strength,
    evidence: [
      ...toning.evidence,
      evidence("brightness-departure", givenBeyondBrightness),
      evidence("needle", meter.stops),
    ],
  };
}

function strong(code: CauseCode, found: readonly Evidence[]): Cause {
  return { code, strength: "strong", evidence: found };
}
