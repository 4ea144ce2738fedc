import { ToneError } from "../errors.ts";
import { expectObject } from "../expectGiven.ts";
import type { Region } from "./region.ts";

/** Most corners of a polygon: more than anybody marks, and few enough to fill quickly. */
export const MOST_CORNERS = 1024;

/**
 * Refuses anything but a region: an unknown shape, numbers that are not finite, a size below zero, a polygon of too few or
 * too many corners. A region may be outside the picture.
 *
 * @throws {@link ToneError} `TONE_BAD_REGION`
 */
export function expectRegion(region: Region): void {
  const fault = faultOf(expectObject("the region", region));
  if (fault !== null) {
    throw new ToneError("TONE_BAD_REGION", `Expected a region but received ${fault}`);
  }
}

function faultOf(region: Region): string | null {
  switch (region.shape) {
    case "whole":
      return null;
    case "disc":
      if (region.share > 1) return `a disc of ${region.share} of the picture`;
      return faultyNumber(region, ["share"]);
    case "box":
      return faultyNumber(region, ["width", "height"]);
    case "circle":
      return faultyNumber(region, ["radius"]);
    case "ellipse":
      return faultyNumber(region, ["radiusX", "radiusY"]);
    case "polygon": {
      const { points } = region;
      if (points.length < 3 || points.length > MOST_CORNERS) {
        return `a polygon of ${points.length} corners, where 3 to ${MOST_CORNERS} are allowed`;
      }
      const faults = points.map((point) => faultyNumber(point, []));
      return faults.find((fault) => fault !== null) ?? null;
    }
    default:
      return `the shape "${String((region as { shape?: unknown }).shape)}"`;
  }
}

/** What is wrong with the position or a size of a region; null where nothing is. */
function faultyNumber<T extends { readonly x: number; readonly y: number }>(
  region: T,
  sizes: readonly (keyof T & string)[],
): string | null {
  for (const name of ["x", "y", ...sizes] as const) {
    const value = region[name as keyof T];
    const least = name === "x" || name === "y" ? -Infinity : 0;
    if (!Number.isFinite(value) || (value as number) < least) return `${name} ${String(value)}`;
  }
  return null;
}
