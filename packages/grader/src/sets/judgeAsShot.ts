import { editTrace } from "../judge/trace/editTrace.ts";
import { cannotTell, type Finding, finding, notRun } from "./finding.ts";
import type { FrameFacts } from "./frameFacts.ts";
import type { ReadyFrame } from "./readySet.ts";

const EXPECTED = "no trace of an edit";

/**
 * Whether a file shows no trace of an edit since it was taken. Only its own metadata can say so: an editor that writes
 * nothing there leaves no trace.
 */
export function judgeAsShot({ id, kit }: ReadyFrame, facts: FrameFacts): Finding {
  if (facts.failure) return notRun(EXPECTED, id, facts.failure);
  const exposure = facts.read?.exposure;
  if (!exposure || exposure.capturedAt.value === null) {
    const sentence = `Frame ${id} does not record when it was taken, as cameras do, so nobody can tell whether it was edited.`;
    return cannotTell({ code: "not-recorded", expected: EXPECTED, sentence });
  }
  const picture = [...facts.tones.values()].find((row) => row.picture !== null)?.picture ?? null;
  const trace = editTrace(exposure, picture, kit?.software);
  if (trace) {
    const { code, measured, what } = trace;
    const sentence = `Frame ${id} ${what}.`;
    return finding({ outcome: "missed", code, expected: EXPECTED, measured, sentence });
  }
  const { value } = exposure.software;
  if (value !== null && !kit?.software) {
    return finding({
      outcome: "undecided",
      code: "software-unknown",
      expected: EXPECTED,
      measured: value,
      sentence: `Frame ${id} was written by "${value}". If that is the camera's own firmware, add it to the kit's software.`,
    });
  }
  const sentence = `Frame ${id} shows no trace of an edit.`;
  const found = { outcome: "kept", code: "holds", measured: "none found" } as const;
  return finding({ ...found, expected: EXPECTED, sentence });
}
