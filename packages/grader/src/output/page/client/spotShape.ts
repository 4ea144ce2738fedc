import { parseRegion, type Region, regionText, SPOT_SHARE } from "@tonefall/tone-core";

/** A spot that can be moved: round, or a box; its centre and half its sizes, in fractions of the picture. */
export interface SpotShape {
  readonly round: boolean;
  readonly x: number;
  readonly y: number;
  readonly halfWidth: number;
  readonly halfHeight: number;
}

/** The smallest a spot gets, as half its side over the picture's: below that the small light tells too little. */
const SMALLEST = 0.04;

/** A spot kept inside the picture; a round one is round in pixels. */
export function keptInside(spot: SpotShape, aspect: number): SpotShape {
  const halfWidth = clamp(spot.halfWidth, SMALLEST, spot.round ? Math.min(0.5, 0.5 / aspect) : 0.5);
  const halfHeight = spot.round ? halfWidth * aspect : clamp(spot.halfHeight, SMALLEST, 0.5);
  return {
    round: spot.round,
    x: clamp(spot.x, 0, 1),
    y: clamp(spot.y, 0, 1),
    halfWidth,
    halfHeight,
  };
}

/** A side of a box that can be pulled. */
export type Side = "left" | "right" | "top" | "bottom";

/** A spot with one side pulled to a place: the opposite side of a box stays, and a round one grows about its middle. */
export function pulled(
  spot: SpotShape,
  side: Side,
  to: { readonly x: number; readonly y: number },
  aspect: number,
): SpotShape {
  if (spot.round) {
    const halfWidth = Math.hypot(to.x - spot.x, (to.y - spot.y) / aspect);
    return keptInside({ ...spot, halfWidth }, aspect);
  }
  const { x, y, halfWidth, halfHeight } = spot;
  const [left, right, top, bottom] = [x - halfWidth, x + halfWidth, y - halfHeight, y + halfHeight];
  const across = (from: number, until: number): SpotShape => ({
    ...spot,
    x: (from + until) / 2,
    halfWidth: (until - from) / 2,
  });
  const down = (from: number, until: number): SpotShape => ({
    ...spot,
    y: (from + until) / 2,
    halfHeight: (until - from) / 2,
  });
  switch (side) {
    case "left":
      return across(clamp(to.x, 0, right - 2 * SMALLEST), right);
    case "right":
      return across(left, clamp(to.x, left + 2 * SMALLEST, 1));
    case "top":
      return down(clamp(to.y, 0, bottom - 2 * SMALLEST), bottom);
    case "bottom":
      return down(top, clamp(to.y, top + 2 * SMALLEST, 1));
  }
}

/** A spot as a region, in no more decimals than a person would type. */
export function regionOfSpot({ round, x, y, halfWidth, halfHeight }: SpotShape): Region {
  if (round) return { shape: "circle", x: short(x), y: short(y), radius: short(halfWidth) };
  const [left, top] = [Math.max(0, x - halfWidth), Math.max(0, y - halfHeight)];
  return {
    shape: "box",
    x: short(left),
    y: short(top),
    width: short(Math.min(1, x + halfWidth) - left),
    height: short(Math.min(1, y + halfHeight) - top),
  };
}

/** A spot in the text form of regions. */
export function spotText(spot: SpotShape): string {
  return regionText(regionOfSpot(spot));
}

/**
 * The spot to begin with: the brief's region where it is one, else a meter's spot in the middle.
 *
 * @param aspect - the picture's width over its height
 */
export function spotOfRegion(text: string, aspect: number): SpotShape {
  const region = parseRegion(text);
  const round = (x: number, y: number, halfWidth: number): SpotShape =>
    keptInside({ round: true, x, y, halfWidth, halfHeight: 0 }, aspect);
  switch (region.shape) {
    case "disc":
      return round(region.x, region.y, Math.sqrt(region.share / Math.PI / aspect));
    case "circle":
      return round(region.x, region.y, region.radius);
    case "box":
      return {
        round: false,
        x: region.x + region.width / 2,
        y: region.y + region.height / 2,
        halfWidth: region.width / 2,
        halfHeight: region.height / 2,
      };
    case "ellipse":
      return round(region.x, region.y, region.radiusX);
    case "polygon": {
      const xs = region.points.map(({ x }) => x);
      const ys = region.points.map(({ y }) => y);
      const middle = (of: number[]): number => (Math.min(...of) + Math.max(...of)) / 2;
      return round(middle(xs), middle(ys), Math.sqrt(SPOT_SHARE / Math.PI / aspect));
    }
    case "whole":
      return round(0.5, 0.5, Math.sqrt(SPOT_SHARE / Math.PI / aspect));
  }
}

function short(value: number): number {
  return Number(value.toFixed(4));
}

function clamp(value: number, least: number, most: number): number {
  return Math.min(most, Math.max(least, value));
}
