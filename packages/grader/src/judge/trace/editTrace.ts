import { madeFrameOf } from "../../model/madeFrame.ts";
import type { Exposure, FrameResult } from "../../model/result.ts";

/** What shows that a file was changed since it was taken. */
export interface EditTrace {
  /** Branch on this. */
  readonly code: "made-frame" | "edit-trace" | "composite" | "custom-rendered" | "resized";
  /** What the file says or holds. */
  readonly measured: string;
  /** The same in words that follow the name of a frame. */
  readonly what: string;
}

/**
 * The first trace of an edit that a file's own metadata show; null where they show none. An editor that writes nothing there
 * leaves no trace.
 *
 * @param picture - of the file's row; null where nothing was decoded
 * @param firmware - the software that its camera writes; undefined where that is not known
 */
export function editTrace(
  exposure: Exposure,
  picture: FrameResult["picture"],
  firmware: readonly string[] | undefined,
): EditTrace | null {
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
