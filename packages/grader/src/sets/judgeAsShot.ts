import { madeFrameOf } from "../model/madeFrame.ts";
import type { Exposure, FrameResult } from "../model/result.ts";
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
  const trace = traceOf(exposure, picture, kit?.software);
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

function traceOf(
  exposure: Exposure,
  picture: FrameResult["picture"],
  firmware: readonly string[] | undefined,
): { code: string; measured: string; what: string } | null {
  const { software, customRendered, composite, pixelWidth, pixelHeight } = exposure;
  const made = madeFrameOf(exposure);
  if (made) {
    const what = "was made from a capture by Tonefall, so no camera shot it";
    return { code: "made-frame", measured: made.software, what };
  }
  if (software.value !== null && firmware && !firmware.includes(software.value)) {
    return {
      code: "edit-trace",
      measured: software.value,
      what: `was written by "${software.value}", which is not its camera's firmware`,
    };
  }
  if (composite.value === "general" || composite.value === "captured") {
    return { code: "composite", measured: "composite", what: "was merged from several captures" };
  }
  if (customRendered.value !== null && customRendered.value !== "normal") {
    return {
      code: "custom-rendered",
      measured: customRendered.value,
      what: "was rendered by special processing",
    };
  }
  if (!picture || pixelWidth.value === null || pixelHeight.value === null) return null;
  const stated = [pixelWidth.value, pixelHeight.value].sort((a, b) => a - b).join("x");
  const actual = [picture.width, picture.height].sort((a, b) => a - b).join("x");
  return stated === actual
    ? null
    : {
        code: "resized",
        measured: actual,
        what: `has ${actual} pixels, but its metadata say ${stated}`,
      };
}
