import type { Point } from "@tonefall/tone-core";

/** The upright rectangle between two opposite corners, whichever they are. */
export function uprightBounds(
  a: Point,
  b: Point,
): { left: number; top: number; right: number; bottom: number } {
  return {
    left: Math.min(a.x, b.x),
    top: Math.min(a.y, b.y),
    right: Math.max(a.x, b.x),
    bottom: Math.max(a.y, b.y),
  };
}
