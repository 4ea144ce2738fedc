import { decidedError } from "../../model/decidedError.ts";
import type { CameraStep } from "../../model/nextSettings.ts";
import type { CauseFacts, CauseRow } from "../cause/causeFacts.ts";
import { isLight } from "../cause/renderedCurve.ts";
import { cameraStep, STEPS_PER_STOP } from "./cameraStep.ts";
import { landingSteps } from "./landingSteps.ts";
import { earlierTones, seenCurves } from "./seenCurves.ts";

/** How much light a miss asks for, in the steps that its camera is set in. */
export interface AdvisedLight {
  /** Steps that the camera is set in; null where it has none, and thirds are counted. */
  readonly step: CameraStep | null;
  /** Whole steps; + is more light. */
  readonly steps: number;
  /** The same in stops; null beyond what a picture tells. */
  readonly stops: number | null;
}

/** Beyond this a picture tells that the tone is off, not by how much: shoulder and toe hide it. Our judgement. */
const FARTHEST_STOPS = 4;

/**
 * The light that a miss asks for, one step at least. Whatever speaks of it takes it from here, so that one row gives one
 * figure.
 *
 * It is the miss with its sign turned. On a rendered claim whose curve is not known it is what most likely lands the tone,
 * once earlier frames of the subject tell how steep that curve is.
 *
 * @param preceding - rows of the same run before it, oldest first
 */
export function advisedLight(facts: CauseFacts, preceding: readonly CauseRow[]): AdvisedLight {
  const { exposure, miss, side } = facts;
  const step = cameraStep(exposure);
  const stepsPerStop = STEPS_PER_STOP[step ?? "third"];
  const mostSteps = FARTHEST_STOPS * stepsPerStop;
  const missed = -side * Math.max(1, Math.round(Math.abs(miss) * stepsPerStop));
  if (Math.abs(missed) > mostSteps) return { step, steps: missed, stops: null };
  const landing = showsItsCurve(facts, preceding)
    ? landingSteps(facts, seenCurves(facts, preceding), stepsPerStop, mostSteps)
    : null;
  const steps = landing ?? missed;
  return { step, steps, stops: steps / stepsPerStop };
}

/** Whether earlier frames tell how steep a rendering is that shows light by a curve of its own. */
function showsItsCurve(facts: CauseFacts, preceding: readonly CauseRow[]): boolean {
  const { row } = facts;
  return (
    row.basis === "rendered" &&
    !isLight(row) &&
    !hidesSize(facts) &&
    earlierTones(facts, preceding).length > 0
  );
}

/** Whether clipping or black leaves no more than a bound of the miss. */
export function hidesSize({ row: { error } }: CauseFacts): boolean {
  return error !== null && decidedError(error).bound !== null;
}
