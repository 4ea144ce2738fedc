import { SHOULDER_STOPS, sceneLight } from "@tonefall/tone-core";
import type { Fall } from "../../model/result.ts";

/**
 * A rendered picture's fall as a claim about the scene: the light that renderings show as such tones. It supports a
 * direction; its size is as uncertain as the curve, and on the curve's shoulder it is a bound.
 */
export function sceneFall({ stops, median, p5, p95, bound }: Fall): Fall {
  const light = sceneLight(stops);
  return {
    stops: light.stops,
    median: sceneLight(median).stops,
    p5: sceneLight(p5).stops,
    p95: sceneLight(p95).stops,
    bound: bound ?? light.bound,
  };
}

/** Whether a rendering shows half of a region or more on its shoulder, so that its median is no more than a bound. */
export function isOnShoulder({ median }: Pick<Fall, "median">): boolean {
  return median > SHOULDER_STOPS;
}
