import type { FrameResult } from "../../model/result.ts";

/** Whether a row's stops are stops of light: a sensor told them, or a curve that was measured of the frame's kit. */
export function showsLight({ picture, kit }: Pick<FrameResult, "picture" | "kit">): boolean {
  return picture?.colourFrom === "sensor" || kit?.used === "curve";
}
