import type { FrameResult } from "../../model/result.ts";
import type { SpotSettings } from "../metering/meterZones.ts";
import { withMetering } from "../metering/withMetering.ts";
import type { MeasuredClaim } from "./measureClaim.ts";
import { isComposite } from "./settingsFall.ts";
import { withVerdict } from "./withVerdict.ts";

/**
 * Grades a measured frame: its error and verdict, the split of its miss and, when asked, what every pattern reads.
 *
 * @param spot - where the spot of the readings lies; null leaves the readings out
 */
export function gradeMeasured(measured: MeasuredClaim, spot: SpotSettings | null): FrameResult {
  return withMetering(judged(measured), measured.frame, spot);
}

/** A rendering that was merged or toned by place says nothing of the light, so a claim on it cannot be decided. */
function judged({ row, frame, censoredShare }: MeasuredClaim): FrameResult {
  const ofLight = row.basis === "scene" && frame.basis === "rendered";
  if (ofLight && row.exposure && isComposite(row.exposure)) {
    return { ...row, fall: null, verdict: row.placement ? "undecided" : null };
  }
  return withVerdict(row, censoredShare);
}
