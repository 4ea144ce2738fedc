import type { FrameResult } from "../../model/result.ts";

/** Whether a row's stops are stops of light: they come from a sensor, or through a measured curve of the frame's kit. */
export function showsLight({ picture, kit }: Pick<FrameResult, "picture" | "kit">): boolean {
  return picture?.colourFrom === "sensor" || kit?.used === "curve";
}
