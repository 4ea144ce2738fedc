import type { LinearPicture } from "../picture/linearPicture.ts";

/** Codes of a rendering that say enough of light: below, a step is a tenth of a stop; above, the curve runs into white. */
const [LEAST_RENDERED, MOST_RENDERED] = [16, 240];

/** Whether the codes of a picture are a camera's rendering; the others are a sensor's. */
export function isRendered({ samples }: Pick<LinearPicture, "samples">): boolean {
  return samples instanceof Uint8Array;
}

/** Whether a code of a rendering, or a mean of some, says enough of light. */
export function isTelling(code: number): boolean {
  return code >= LEAST_RENDERED && code <= MOST_RENDERED;
}
