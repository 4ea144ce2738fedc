import type { Cause, CauseCode, Evidence, Strength } from "../../model/cause.ts";
import { automaticIsoCause } from "./automaticIsoCause.ts";
import type { CauseFacts, CauseRow, MeterView } from "./causeFacts.ts";
import { compensationCause } from "./compensationCause.ts";
import { evidence, needleInPicture, sizedEvidence } from "./evidence.ts";
import { type FrameStep, frameStep } from "./frameStep.ts";
import { lightMiss, type Witness } from "./lightMiss.ts";
import {
  EXACTLY_FOLLOWED_STOPS,
  FOLLOWED_STOPS,
  LIGHT_CHANGE_STOPS,
  MISSED_CHANCE,
  SMALL_MISS_STOPS,
  SMALLEST_CHANGE_STOPS,
  STEP_UNCERTAINTY,
} from "./limits.ts";
import { followedRoom, witnessOf } from "./meterView.ts";
import { notKnown } from "./notKnown.ts";
import { patternCause } from "./patternCause.ts";
import { lightBeyond, likelyLight } from "./renderedCurve.ts";
import { toningEvidence } from "./toningEvidence.ts";

/**
 * The cause of a miss where the exposure was set by hand.
 *
 * What a frame before it shows comes first: the light, the settings or the view may have changed since. Alone, the frame
 * tells how far the settings stand from what the meter asked for.
 */
export function manualCause(facts: CauseFacts, preceding: readonly CauseRow[]): Cause {
  const step = frameStep(facts, preceding);
  return (
    (step &&
      (automaticIsoCause(facts, step) ??
        changedLight(facts, step) ??
        changedSettings(facts, step))) ??
    ignoredCompensation(facts) ??
    brightnessDisagrees(facts) ??
    needleCause(facts)
  );
}

/** The frame moved by more than the settings did, away from a tone that lay better before. */
function changedLight(facts: CauseFacts, step: FrameStep): Cause | null {
  const { light, fall, reading, missBefore, given } = step;
  if (Math.abs(light) < LIGHT_CHANGE_STOPS || Math.sign(light) !== facts.side) return null;
  if (!mayHaveHeld(step, []) && !layBetter(missBefore, facts)) return null;
  // Another view changes the reading and the subject apart from each other; another light changes them alike.
  if (reading !== null && !reading.alike) return null;
  return {
    code: "light-changed",
    strength: reading === null ? "fair" : "strong",
    evidence: [
      sizedEvidence("change-of-light", light),
      sizedEvidence("change-of-settings", given),
      sizedEvidence("change-of-fall", fall),
      sizedEvidence("miss-before", missBefore),
    ],
  };
}

/** Whether the frame before was near enough to its placement for the miss to have come since. */
function layBetter(missBefore: number, { miss }: CauseFacts): boolean {
  return Math.abs(missBefore) <= Math.abs(miss) / 2;
}

/** Whether the rendering alone explains that the frame before missed. */
function mayHaveHeld({ before }: FrameStep, witnesses: readonly Witness[]): boolean {
  return before === null || lightMiss(before, witnesses).chance < MISSED_CHANCE;
}

/** In the same light the settings moved: off a tone that held, or after one that missed. */
function changedSettings(facts: CauseFacts, step: FrameStep): Cause | null {
  const { side, miss, shown } = facts;
  const { given, light, missBefore, fall } = step;
  if (Math.abs(given) < SMALLEST_CHANGE_STOPS || Math.abs(light) >= LIGHT_CHANGE_STOPS) return null;
  const found = [
    sizedEvidence("change-of-settings", given),
    sizedEvidence("change-of-fall", fall),
    sizedEvidence("miss-before", missBefore),
    sizedEvidence("miss", miss),
  ];
  // A known change of light between two tones tells how steep the rendering is.
  const after: Witness = { shown, light: given, fromSubject: true, uncertainty: STEP_UNCERTAINTY };
  const small = Math.abs(missBefore) <= SMALL_MISS_STOPS && layBetter(missBefore, facts);
  if (small || mayHaveHeld(step, [after])) {
    return Math.sign(given) === side
      ? {
          code: "settings-changed-after-metering",
          strength: small ? "strong" : "fair",
          evidence: found,
        }
      : null;
  }
  return {
    code: changeAfterMiss(given, missBefore, miss),
    strength: "strong",
    evidence: found,
  };
}

/** What a change did to a tone that had missed before it. */
function changeAfterMiss(given: number, missBefore: number, miss: number): CauseCode {
  if (Math.sign(given) === Math.sign(missBefore)) return "compensated-wrong-way";
  return Math.sign(miss) === Math.sign(missBefore)
    ? "compensated-too-little"
    : "compensated-too-far";
}

/** Compensation that would have helped, had it done anything. */
function ignoredCompensation(facts: CauseFacts): Cause | null {
  const { compensation, side, meter, miss, row } = facts;
  if (compensation === null || Math.abs(compensation) < SMALLEST_CHANGE_STOPS) return null;
  if (Math.sign(compensation) !== -side || !meter) return null;
  const fromCentre = Math.abs(lightBeyond(row, meter.stops, 0));
  // With an automatic ISO it does act: then the reading lies at the compensation.
  const fromCompensation = Math.abs(lightBeyond(row, meter.stops, compensation));
  if (fromCentre > followedRoom(meter) || fromCentre > fromCompensation) return null;
  if (lightMiss(facts, []).chance < MISSED_CHANCE) return null;
  return {
    code: "compensation-ignored-in-manual",
    strength: meter.estimate ? "fair" : "strong",
    evidence: [
      evidence("manual-recorded"),
      sizedEvidence("compensation", compensation),
      needleInPicture(meter.stops),
      sizedEvidence("miss", miss),
    ],
  };
}

/** Where the settings stand from what the meter asked for, stops of light. */
interface Needle {
  readonly stops: number;
  /** How far it may be from its centre and still be centred. */
  readonly room: number;
  /** How well the cause is supported where the meter was followed, and where it was left. */
  readonly strength: { readonly centred: Strength; readonly off: Strength };
  readonly witnesses: readonly Witness[];
  readonly evidence: readonly Evidence[];
}

function needleCause(facts: CauseFacts): Cause {
  const needle = needleOf(facts);
  if (!needle) return patternCause(facts);
  const found = [
    evidence("manual-recorded"),
    ...needle.evidence,
    sizedEvidence("miss", facts.miss),
  ];
  const missed = lightMiss(facts, needle.witnesses);
  if (missed.chance < MISSED_CHANCE) return notKnown([evidence("rendering-explains"), ...found]);
  const centred = Math.abs(needle.stops) <= needle.room;
  return {
    code: centred ? compensationCause(0, facts.side) : "needle-off-centre",
    strength: needle.strength[centred ? "centred" : "off"],
    evidence: found,
  };
}

/** The needle by the camera's own record of the light, or else by what the recorded pattern reads in the picture. */
function needleOf({ meter, givenBeyondBrightness, row }: CauseFacts): Needle | null {
  if (givenBeyondBrightness !== null) {
    return {
      stops: givenBeyondBrightness,
      room: FOLLOWED_STOPS,
      strength: { centred: "strong", off: "strong" },
      witnesses: meter ? witnessOf(meter, givenBeyondBrightness) : [],
      evidence: [evidence("brightness-recorded"), sizedEvidence("needle", givenBeyondBrightness)],
    };
  }
  if (!meter) return null;
  const stops = likelyLight(row, meter.stops);
  return {
    stops,
    room: followedRoom(meter),
    strength: { centred: isExact(meter) ? "strong" : "fair", off: "fair" },
    witnesses: [],
    evidence: [needleInPicture(stops), ...(meter.bound ? [evidence("reading-is-a-bound")] : [])],
  };
}

function isExact({ stops, estimate, bound }: MeterView): boolean {
  return !estimate && !bound && Math.abs(stops) <= EXACTLY_FOLLOWED_STOPS;
}

/** The camera's record of the light has the needle elsewhere than the picture, and the record says what toned it. */
function brightnessDisagrees({
  meter,
  givenBeyondBrightness,
  row,
  exposure,
}: CauseFacts): Cause | null {
  if (!meter || givenBeyondBrightness === null) return null;
  const departure = lightBeyond(row, meter.stops, givenBeyondBrightness);
  const toning = toningEvidence(exposure, departure, givenBeyondBrightness);
  if (!toning || Math.abs(departure) <= FOLLOWED_STOPS) return null;
  return {
    code: "settings-and-tones-disagree",
    strength: toning.strength,
    evidence: [
      ...toning.evidence,
      sizedEvidence("brightness-departure", givenBeyondBrightness),
      needleInPicture(meter.stops),
    ],
  };
}
