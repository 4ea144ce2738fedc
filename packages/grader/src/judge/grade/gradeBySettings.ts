import type { Exposure, FrameResult } from "../../model/result.ts";
import { defaultTolerance } from "./defaultTolerance.ts";
import { fallUncertainty } from "./fallUncertainty.ts";
import { knownFall } from "./knownFall.ts";
import { settingsFall } from "./settingsFall.ts";
import { withVerdict } from "./withVerdict.ts";

/**
 * Grades a frame by its recorded settings alone.
 *
 * @param row - of the frame, with the placement and tolerance of its brief
 * @param exposure - of the row
 */
export function gradeBySettings(row: FrameResult, exposure: Exposure): FrameResult {
  const { fall, notes } = settingsFall(exposure);
  const measured: FrameResult = {
    ...row,
    basis: "settings",
    // The settings know no region: they speak of whatever the meter looked at.
    region: null,
    tolerance: row.tolerance ?? defaultTolerance("settings", null),
    fall: fall && knownFall(fall, fallUncertainty(fall, "settings", null)),
    notes: [...row.notes, ...notes],
  };
  if (row.placement && !fall) return { ...measured, verdict: "undecided" };
  return withVerdict(measured, 0);
}
