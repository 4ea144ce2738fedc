import { ToneError } from "../errors.ts";
import { expectText } from "../expectGiven.ts";
import { shownText } from "../text/shownText.ts";
import { expectRegion, MOST_CORNERS } from "./expectRegion.ts";
import { PARTIAL, type Point, type Region, SPOT } from "./region.ts";

/** Regions named by a word alone. */
const WORDS: ReadonlyMap<string, Region> = new Map<string, Region>([
  ["whole", { shape: "whole" }],
  ["spot", SPOT],
  ["partial", PARTIAL],
]);

/** A region given by numbers behind its name. */
interface Form {
  /** Its numbers, as a message shows them. */
  readonly fields: string;
  /** How many of its last numbers are lengths, and so above zero. */
  readonly sizes: number;
  readonly make: (...numbers: number[]) => Region;
}

/** Every form that takes one list of numbers; a polygon takes several, so it stands apart. */
const FORMS: ReadonlyMap<string, Form> = new Map<string, Form>([
  ["spot", { fields: "x,y", sizes: 0, make: (x, y) => ({ ...SPOT, x, y }) }],
  ["partial", { fields: "x,y", sizes: 0, make: (x, y) => ({ ...PARTIAL, x, y }) }],
  [
    "box",
    {
      fields: "x,y,w,h",
      sizes: 2,
      make: (x, y, width, height) => ({ shape: "box", x, y, width, height }),
    },
  ],
  [
    "circle",
    { fields: "x,y,r", sizes: 1, make: (x, y, radius) => ({ shape: "circle", x, y, radius }) },
  ],
  [
    "ellipse",
    {
      fields: "x,y,rx,ry",
      sizes: 2,
      make: (x, y, radiusX, radiusY) => ({ shape: "ellipse", x, y, radiusX, radiusY }),
    },
  ],
]);

const ACCEPTED = [
  ...WORDS.keys(),
  ...[...FORMS].map(([name, { fields }]) => `${name}:${fields}`),
].join(", ");

const GRAMMAR = `${ACCEPTED} or polygon:x,y x,y x,y, in fractions of the upright picture`;

/** How far a region may pass the picture's edge before it counts as outside: rounding in typed fractions. */
const EDGE_SLACK = 1e-6;

/**
 * A region from its text form, checked to lie inside the picture.
 *
 * The forms: `whole`, `spot`, `partial`, `spot:x,y` and `partial:x,y` (centre), `box:x,y,w,h` (top left corner and size),
 * `circle:x,y,r` (centre, and radius in picture widths), `ellipse:x,y,rx,ry` (centre, half width, half height), and
 * `polygon:x,y x,y x,y` of up to 1024 corners.
 *
 * @param text - one of the forms, numbers as fractions of the upright picture
 * @throws {@link ToneError} `TONE_BAD_REGION` when the text is not a region, or leaves the picture
 *
 * @example
 * ```ts
 * parseRegion("box:0.25,0.25,0.5,0.5"); // => { shape: "box", x: 0.25, y: 0.25, width: 0.5, height: 0.5 }
 * ```
 */
export function parseRegion(text: string): Region {
  expectText("the region", text, "TONE_BAD_REGION");
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
  const region = rest === undefined ? WORDS.get(name) : shaped(name, rest, text);
  if (region) return region;
  throw new ToneError(
    "TONE_BAD_REGION",
    `Expected ${GRAMMAR} for region but received "${shownText(text)}"`,
  );
}

/** The region that a name makes of its numbers; undefined where there is no such name, or a length is not above zero. */
function shaped(name: string, rest: string, text: string): Region | undefined {
  if (name === "polygon") return polygon(rest, text);
  const form = FORMS.get(name);
  if (!form) return undefined;
  const values = numbers(rest, form.fields.split(",").length, text);
  const lengths = values.slice(values.length - form.sizes);
  return lengths.every((length) => length > 0) ? form.make(...values) : undefined;
}

function polygon(rest: string, text: string): Region | undefined {
  const corners = rest.trim().split(/\s+/);
  if (corners.length > MOST_CORNERS) {
    throw new ToneError(
      "TONE_BAD_REGION",
      `Expected at most ${MOST_CORNERS} corners for a polygon but received ${corners.length}; draw it with fewer`,
    );
  }
  const points = corners.map((pair) => point(...numbers(pair, 2, text)));
  return points.length >= 3 ? { shape: "polygon", points } : undefined;
}

const point: (...numbers: number[]) => Point = (x, y) => ({ x, y });

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

interface Extent {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** The extent that a region certainly has; a circle's vertical reach depends on the picture's shape, so only its centre is checked. */
function bounds(region: Region): Extent {
  switch (region.shape) {
    case "whole":
      return { left: 0, top: 0, right: 1, bottom: 1 };
    case "disc":
      return around(region, 0, 0);
    case "box": {
      const { x, y, width, height } = region;
      return { left: x, top: y, right: x + width, bottom: y + height };
    }
    case "circle":
      return around(region, region.radius, 0);
    case "ellipse":
      return around(region, region.radiusX, region.radiusY);
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

function around({ x, y }: Point, halfWidth: number, halfHeight: number): Extent {
  return {
    left: x - halfWidth,
    top: y - halfHeight,
    right: x + halfWidth,
    bottom: y + halfHeight,
  };
}

function numbers(list: string, count: number, text: string): number[] {
  const values = list.split(",").map((part) => (part.trim() === "" ? Number.NaN : Number(part)));
  if (values.length !== count || !values.every(Number.isFinite)) {
    throw new ToneError(
      "TONE_BAD_REGION",
      `Expected ${count} numbers separated by commas for region but received "${shownText(text)}"; accepted are ${GRAMMAR}`,
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
