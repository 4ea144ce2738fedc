import type { Cause } from "../../model/cause.ts";
import type { CauseFacts } from "./causeFacts.ts";
import { sizedEvidence } from "./evidence.ts";
import type { FrameStep } from "./frameStep.ts";
import { FRAMES_AGREE_STOPS, SMALLEST_CHANGE_STOPS } from "./limits.ts";

/**
 * The cause where what was changed by hand went the right way, the ISO the other, and the tone stayed.
 *
 * By hand is aperture and time in manual, the one that the mode gives priority otherwise. In a programme the camera
 * changes all three by itself, so nothing is said there.
 */
export function automaticIsoCause(
  { side, miss, mode, exposure }: CauseFacts,
  step: FrameStep,
): Cause | null {
  const { byHand, byAperture, byIso, given, fall, missBefore } = step;
  const programme = exposure.programme.value;
  const turned =
    mode === "manual"
      ? byHand
      : programme === "aperture-priority"
        ? byAperture
        : programme === "shutter-priority"
          ? byHand - byAperture
          : 0;
  const changed = [turned, byHand].every(
    (stops) => Math.abs(stops) > SMALLEST_CHANGE_STOPS && Math.sign(stops) === -side,
  );
  const undone = Math.abs(given) < SMALLEST_CHANGE_STOPS && Math.abs(fall) <= FRAMES_AGREE_STOPS;
  if (!changed || !undone || Math.sign(missBefore) !== side) return null;
  return {
    code: "auto-iso-undid-change",
    strength: "strong",
    evidence: [
      sizedEvidence("change-by-hand", byHand),
      sizedEvidence("change-of-iso", byIso),
      sizedEvidence("miss-before", missBefore),
      sizedEvidence("miss", miss),
    ],
  };
}
