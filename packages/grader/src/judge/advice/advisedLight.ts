import type { CameraStep } from "../../model/nextSettings.ts";
import type { Exposure } from "../../model/result.ts";
import { cameraStep, STEPS_PER_STOP } from "./cameraStep.ts";

/** How much light a miss asks for, in the steps that its camera is set in. */
export interface AdvisedLight {
  /** Steps that the camera is set in; null where it has none, and thirds are counted. */
  readonly step: CameraStep | null;
  /** Whole steps; + is more light. */
  readonly steps: number;
  /** The same in stops; null beyond what a picture tells. */
  readonly stops: number | null;
  /** + where the tone is too dark. */
  readonly direction: number;
}

/** Beyond this a picture tells that the tone is off, not by how much: shoulder and toe hide it. Our judgement. */
const FARTHEST_STOPS = 4;

/**
 * The light that a miss asks for: the miss with its sign turned, one step at least. Whatever speaks of it takes it from
 * here, so that one row gives one figure.
 *
 * @param miss - of the figure that decided, stops; not 0
 */
export function advisedLight(exposure: Exposure, miss: number): AdvisedLight {
  const step = cameraStep(exposure);
  const stepsPerStop = STEPS_PER_STOP[step ?? "third"];
  const direction = -Math.sign(miss);
  const steps = direction * Math.max(1, Math.round(Math.abs(miss) * stepsPerStop));
  const stops = steps / stepsPerStop;
  return { step, steps, direction, stops: Math.abs(stops) > FARTHEST_STOPS ? null : stops };
}
