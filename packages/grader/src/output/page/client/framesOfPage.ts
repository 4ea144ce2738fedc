import type { FrameData } from "../pageData.ts";

/** What the page tells of its frames, in the order of the run; its pictures are `#frame-3 .picture img`. */
export function framesOfPage(): FrameData[] {
  const elements = document.querySelectorAll("script.frame-data");
  return [...elements].map((element) => JSON.parse(element.textContent ?? "null") as FrameData);
}
