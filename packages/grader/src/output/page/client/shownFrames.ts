import type { FrameData } from "../pageData.ts";
import type { Address } from "./address.ts";

/** Whether a frame missed and was not meant to. */
export function isMiss({ verdict, byDesign }: FrameData): boolean {
  return (verdict === "over" || verdict === "under") && !byDesign;
}

/** Whether a frame is among those that the reader chose to see. */
export function isShown(frame: FrameData, { show, cause, q }: Address): boolean {
  const kind = frame.failure ? "failed" : (frame.verdict ?? "none");
  return (
    (show === "all" || show === kind) &&
    (cause === "" || (isMiss(frame) && (frame.cause ?? "not-known") === cause)) &&
    frame.name.toLowerCase().includes(q.toLowerCase())
  );
}
