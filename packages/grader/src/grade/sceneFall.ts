import { RENDERED_CONTRAST } from "@tonefall/tone-core";
import type { Fall } from "../result.ts";

/**
 * A rendered picture's fall as a claim about the scene: divided by the contrast that camera renderings have around the
 * mid-tones. It supports a direction; its size is as uncertain as the curve.
 */
export function sceneFall({ stops, median, p5, p95, bound }: Fall): Fall {
  return {
    stops: stops / RENDERED_CONTRAST,
    median: median / RENDERED_CONTRAST,
    p5: p5 / RENDERED_CONTRAST,
    p95: p95 / RENDERED_CONTRAST,
    bound,
  };
}
