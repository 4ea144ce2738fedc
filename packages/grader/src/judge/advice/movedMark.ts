import type { CameraStep, NextWay, SettingName } from "../../model/nextSettings.ts";
import type { Exposure } from "../../model/result.ts";
import { marksOf } from "./cameraStep.ts";

/** A recorded value may differ from its mark by this share, because files round or cut it: 0.0166 for 1/60. */
const SAME_MARK = 5e-3;

/**
 * A setting moved along its marked scale.
 *
 * @param steps - of the camera's own; + is more light: a lower f-number, a longer time, a higher ISO
 * @returns the mark, or the reason why there is none; never a value beyond the scale's ends
 */
export function movedMark(
  exposure: Pick<Exposure, SettingName>,
  setting: SettingName,
  step: CameraStep | null,
  steps: number,
): Pick<NextWay, "to" | "reason"> {
  const { value } = exposure[setting];
  if (value === null) return { to: null, reason: "not-recorded" };
  if (step === null) return { to: null, reason: "not-on-a-marked-scale" };
  const marks = marksOf(setting, step);
  const near = (mark: number): boolean => Math.abs(value / mark - 1) <= SAME_MARK;
  const at = marks.findIndex(({ marked, exact }) => near(marked) || near(exact));
  if (at < 0) return { to: null, reason: "not-on-a-marked-scale" };
  const to = marks[setting === "iso" ? at + steps : at - steps];
  return to ? { to: to.marked, reason: null } : { to: null, reason: "beyond-marked-scale" };
}
