import type { Exposure, FrameResult } from "../model/result.ts";
import { type Finding, finding, notRun } from "./finding.ts";
import type { FrameFacts } from "./frameFacts.ts";
import type { ReadyFrame } from "./readySet.ts";

const EXPECTED = "no trace of an edit";

/**
 * Whether a file shows no trace of having been changed since it was taken. Its own word is all there is: an editor that
 * keeps silent leaves none.
 */
export function judgeAsShot({ id, kit }: ReadyFrame, facts: FrameFacts): Finding {
  if (facts.failure) return notRun(EXPECTED, id, facts.failure);
  const exposure = facts.read?.exposure;
  if (!exposure || exposure.capturedAt.value === null) {
    const sentence = `Frame ${id} does not record when it was taken, as cameras do, so its history cannot be told.`;
    return finding("undecided", "not-recorded", EXPECTED, null, sentence);
  }
  const picture = [...facts.tones.values()].find((row) => row.picture !== null)?.picture ?? null;
  const trace = traceOf(exposure, picture, kit?.software);
  if (trace)
    return finding("missed", trace.code, EXPECTED, trace.measured, `Frame ${id} ${trace.what}.`);
  const { value } = exposure.software;
  if (value !== null && !kit?.software) {
    const sentence = `Frame ${id} was written by "${value}"; name it in the kit's software if that is the camera's own.`;
    return finding("undecided", "software-unknown", EXPECTED, value, sentence);
  }
  return finding("kept", "holds", EXPECTED, "none found", `Frame ${id} shows no trace of an edit.`);
}

function traceOf(
  exposure: Exposure,
  picture: FrameResult["picture"],
  firmware: readonly string[] | undefined,
): { code: string; measured: string; what: string } | null {
  const { software, customRendered, composite, pixelWidth, pixelHeight } = exposure;
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
    : { code: "resized", measured: actual, what: `holds ${actual} pixels but states ${stated}` };
}
