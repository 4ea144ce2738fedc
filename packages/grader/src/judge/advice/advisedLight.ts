import { decidedError } from "../../model/decidedError.ts";
import type { CameraStep } from "../../model/nextSettings.ts";
import type { CauseFacts, CauseRow } from "../cause/causeFacts.ts";
import { isLight } from "../cause/renderedCurve.ts";
import { cameraStep, STEPS_PER_STOP } from "./cameraStep.ts";
import { landingSteps } from "./landingSteps.ts";
import { seenCurves } from "./seenCurves.ts";

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
 * It is the miss with its sign turned where that is a miss of light, measured or estimated, and where clipping hides its size.
 * Of a rendered claim whose curve is not known it is what most likely lands the tone.
 *
 * @param preceding - rows of the same run before it, oldest first: those of the same subject show how steep the rendering is
 */
export function advisedLight(facts: CauseFacts, preceding: readonly CauseRow[]): AdvisedLight {
  const { exposure, miss, side, row } = facts;
  const step = cameraStep(exposure);
  const stepsPerStop = STEPS_PER_STOP[step ?? "third"];
  const missed = -side * Math.max(1, Math.round(Math.abs(miss) * stepsPerStop));
  if (Math.abs(missed) > FARTHEST_STOPS * stepsPerStop) return { step, steps: missed, stops: null };
  const steps =
    row.basis !== "rendered" || isLight(row) || hidesSize(facts)
      ? missed
      : (landingSteps(
          facts,
          seenCurves(facts, preceding),
          stepsPerStop,
          FARTHEST_STOPS * stepsPerStop,
        ) ?? missed);
  return { step, steps, stops: steps / stepsPerStop };
}

/** Whether clipping or black leaves no more than a bound of the miss. */
export function hidesSize({ row: { error } }: CauseFacts): boolean {
  return error !== null && decidedError(error).bound !== null;
}
