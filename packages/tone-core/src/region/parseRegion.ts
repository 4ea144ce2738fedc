import { ToneError } from "../errors.ts";
import { shownText } from "../text/shownText.ts";
import { expectRegion, MOST_CORNERS } from "./expectRegion.ts";
import { PARTIAL, type Point, type Region, SPOT } from "./region.ts";

const ACCEPTED =
  "whole, spot, spot:x,y, partial, box:x,y,w,h, circle:x,y,r, ellipse:x,y,rx,ry or polygon:x,y x,y x,y, in fractions of the upright picture";

/** How far a region may pass the picture's edge before it counts as outside: rounding in typed fractions. */
const EDGE_SLACK = 1e-6;

/**
 * A region from its text form, checked to lie inside the picture.
 *
 * The forms: `whole`, `spot`, `spot:x,y`, `partial`, `box:x,y,w,h` (corner and size), `circle:x,y,r` (centre, and radius
 * in picture widths), `ellipse:x,y,rx,ry` (centre, half width, half height), `polygon:x,y x,y x,y` of up to 1024 corners.
 *
 * @param text - one of the forms, numbers as fractions of the upright picture
 * @throws {@link ToneError} `TONE_BAD_REGION` when the text is no region, or leaves the picture
 *
 * @example
 * ```ts
 * parseRegion("box:0.25,0.25,0.5,0.5"); // => { shape: "box", x: 0.25, y: 0.25, width: 0.5, height: 0.5 }
 * ```
 */
export function parseRegion(text: string): Region {
  const [name = "", rest] = splitOnce(text.trim(), ":");
  const region = build(name.trim().toLowerCase(), rest, text);
  requireInside(region, text);
  return region;
}

/**
 * The text form of a region, which {@link parseRegion} reads back where it lies inside the picture.
 *
 * @param region - its numbers are written to six places
 * @throws {@link ToneError} `TONE_BAD_REGION` for a shape that is none, a number that is not finite, a size below zero, or
 *   a polygon of fewer than 3 or more than 1024 corners
 *
 * @example
 * ```ts
 * regionText({ shape: "circle", x: 0.5, y: 0.5, radius: 0.1 }); // => "circle:0.5,0.5,0.1"
 * ```
 */
export function regionText(region: Region): string {
  expectRegion(region);
  switch (region.shape) {
    case "whole":
      return "whole";
    case "disc": {
      const name = region.share === PARTIAL.share ? "partial" : "spot";
      const centred = region.x === SPOT.x && region.y === SPOT.y;
      return centred ? name : `${name}:${join(region.x, region.y)}`;
    }
    case "box":
      return `box:${join(region.x, region.y, region.width, region.height)}`;
    case "circle":
      return `circle:${join(region.x, region.y, region.radius)}`;
    case "ellipse":
      return `ellipse:${join(region.x, region.y, region.radiusX, region.radiusY)}`;
    case "polygon":
      return `polygon:${region.points.map(({ x, y }) => join(x, y)).join(" ")}`;
  }
}

function build(name: string, rest: string | undefined, text: string): Region {
  if (name === "whole" && rest === undefined) return { shape: "whole" };
  if (name === "spot" || name === "partial") {
    const disc = name === "spot" ? SPOT : PARTIAL;
    if (rest === undefined) return disc;
    const [x, y] = numbers(rest, 2, text) as [number, number];
    return { ...disc, x, y };
  }
  if (rest !== undefined) {
    if (name === "box") {
      const [x, y, width, height] = numbers(rest, 4, text) as [number, number, number, number];
      if (width > 0 && height > 0) return { shape: "box", x, y, width, height };
    } else if (name === "circle") {
      const [x, y, radius] = numbers(rest, 3, text) as [number, number, number];
      if (radius > 0) return { shape: "circle", x, y, radius };
    } else if (name === "ellipse") {
      const [x, y, radiusX, radiusY] = numbers(rest, 4, text) as [number, number, number, number];
      if (radiusX > 0 && radiusY > 0) return { shape: "ellipse", x, y, radiusX, radiusY };
    } else if (name === "polygon") {
      const corners = rest.trim().split(/\s+/);
      if (corners.length > MOST_CORNERS) {
        throw new ToneError(
          "TONE_BAD_REGION",
          `Expected at most ${MOST_CORNERS} corners for a polygon but received ${corners.length}; draw it with fewer`,
        );
      }
      const points = corners.map((pair): Point => {
        const [x, y] = numbers(pair, 2, text) as [number, number];
        return { x, y };
      });
      if (points.length >= 3) return { shape: "polygon", points };
    }
  }
  throw new ToneError(
    "TONE_BAD_REGION",
    `Expected ${ACCEPTED} for region but received "${shownText(text)}"`,
  );
}

function requireInside(region: Region, text: string): void {
  const { left, top, right, bottom } = bounds(region);
  const inside =
    left >= -EDGE_SLACK &&
    top >= -EDGE_SLACK &&
    right <= 1 + EDGE_SLACK &&
    bottom <= 1 + EDGE_SLACK;
  if (!inside) {
    throw new ToneError(
      "TONE_BAD_REGION",
      `Expected a region inside the picture (fractions from 0 to 1) but received "${shownText(text)}", which reaches from ${join(left, top)} to ${join(right, bottom)}`,
    );
  }
}

/** The extent that a region certainly has; a circle's vertical reach depends on the picture's shape, so its centre stands for it. */
function bounds(region: Region): { left: number; top: number; right: number; bottom: number } {
  switch (region.shape) {
    case "whole":
      return { left: 0, top: 0, right: 1, bottom: 1 };
    case "disc":
      return { left: region.x, top: region.y, right: region.x, bottom: region.y };
    case "box":
      return {
        left: region.x,
        top: region.y,
        right: region.x + region.width,
        bottom: region.y + region.height,
      };
    case "circle":
      return {
        left: region.x - region.radius,
        top: region.y,
        right: region.x + region.radius,
        bottom: region.y,
      };
    case "ellipse":
      return {
        left: region.x - region.radiusX,
        top: region.y - region.radiusY,
        right: region.x + region.radiusX,
        bottom: region.y + region.radiusY,
      };
    case "polygon": {
      const xs = region.points.map(({ x }) => x);
      const ys = region.points.map(({ y }) => y);
      return {
        left: Math.min(...xs),
        top: Math.min(...ys),
        right: Math.max(...xs),
        bottom: Math.max(...ys),
      };
    }
  }
}

function numbers(list: string, count: number, text: string): number[] {
  const values = list.split(",").map((part) => (part.trim() === "" ? Number.NaN : Number(part)));
  if (values.length !== count || !values.every(Number.isFinite)) {
    throw new ToneError(
      "TONE_BAD_REGION",
      `Expected ${count} numbers separated by commas for region but received "${shownText(text)}"; accepted are ${ACCEPTED}`,
    );
  }
  return values;
}

function splitOnce(text: string, separator: string): [string, string | undefined] {
  const at = text.indexOf(separator);
  return at < 0 ? [text, undefined] : [text.slice(0, at), text.slice(at + 1)];
}

function join(...values: number[]): string {
  return values.map((value) => Number(value.toFixed(6))).join(",");
}
