import { expectList, expectObject } from "../expectGiven.ts";
import { expectNotNegative, expectWhole } from "../expectNumber.ts";
import { expectRegion } from "./expectRegion.ts";
import { storedFromUpright, swapsSides } from "./orientation.ts";
import type { Point, Region } from "./region.ts";

/**
 * The pixels of a region as runs along the rows of the stored raster: triples `row, first column, column after the
 * last`, rows ascending, runs of one row apart and ascending.
 */
export type Spans = Int32Array;

/** Pixel centres this near to an edge (in pixels) count as inside, so that turning a picture never moves one across. */
const EDGE_SLACK = 1e-7;

/** Pixels that a side may have: more than any picture, and few enough to list its rows. */
const MOST_SIDE = 2 ** 20;

/** The stored raster that a region is laid over. */
export interface RasterShape {
  /** Pixels across, as stored. */
  readonly width: number;
  /** Pixels down, as stored. */
  readonly height: number;
  /** Exif Orientation of the stored raster, 1 to 8. */
  readonly orientation: number;
}

/**
 * The pixels of a stored raster whose centres lie in a region of the upright picture.
 *
 * The region is turned into the stored raster, never the pixels into the upright picture, so a turned frame costs
 * nothing and gives the same pixels. What lies outside the picture is left out.
 *
 * @param region - in fractions of the upright picture
 * @param raster - the stored raster
 * @returns runs of pixels; empty when no pixel centre lies inside
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` when the orientation is not 1 to 8, or a side no whole number from 0 to
 *   1,048,576; `TONE_BAD_REGION` for a shape that is none, a number that is not finite, a size below zero, or a polygon of
 *   fewer than 3 or more than 1024 corners
 *
 * @example
 * ```ts
 * rasteriseRegion(parseRegion("box:0,0,0.5,1"), { width: 4, height: 1, orientation: 1 }); // => Int32Array [0, 0, 2]
 * ```
 */
export function rasteriseRegion(region: Region, raster: RasterShape): Spans {
  expectObject("the raster", raster);
  expectRegion(region);
  const { orientation } = raster;
  const width = expectWhole("the raster's width", raster.width, 0, MOST_SIDE);
  const height = expectWhole("the raster's height", raster.height, 0, MOST_SIDE);
  expectWhole("an Exif orientation", orientation, 1, 8);
  const toPixels = (point: Point): Point => {
    const stored = storedFromUpright(point, orientation);
    return { x: stored.x * width, y: stored.y * height };
  };
  const uprightWidth = swapsSides(orientation) ? height : width;
  const uprightHeight = swapsSides(orientation) ? width : height;

  switch (region.shape) {
    case "whole":
      return boxSpans({ x: 0, y: 0 }, { x: width, y: height }, raster);
    case "box":
      return boxSpans(
        toPixels(region),
        toPixels({ x: region.x + region.width, y: region.y + region.height }),
        raster,
      );
    case "disc": {
      const radius = Math.sqrt((region.share * width * height) / Math.PI);
      return ellipseSpans(toPixels(region), radius, radius, raster);
    }
    case "circle": {
      const radius = region.radius * uprightWidth;
      return ellipseSpans(toPixels(region), radius, radius, raster);
    }
    case "ellipse": {
      const across = region.radiusX * uprightWidth;
      const down = region.radiusY * uprightHeight;
      return swapsSides(orientation)
        ? ellipseSpans(toPixels(region), down, across, raster)
        : ellipseSpans(toPixels(region), across, down, raster);
    }
    case "polygon":
      return polygonSpans(region.points.map(toPixels), raster);
  }
}

/**
 * Number of pixels in a list of runs.
 *
 * @param spans - runs as {@link rasteriseRegion} gives them; none are 0 pixels
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a list that is cut short, or a run that ends before it begins
 *
 * @example
 * ```ts
 * spanPixels(Int32Array.of(0, 0, 2, 1, 0, 2)); // => 4
 * ```
 */
export function spanPixels(spans: Spans): number {
  expectList("the spans", spans);
  let pixels = 0;
  for (let i = 0; i < spans.length; i += 3) {
    const run = (spans[i + 2] as number) - (spans[i + 1] as number);
    // Of a list that is cut short, the last run has no length.
    pixels += expectNotNegative("the pixels of a run", run);
  }
  return pixels;
}

function boxSpans(a: Point, b: Point, { width, height }: RasterShape): Spans {
  const [first, end] = centresBetween(Math.min(a.x, b.x), Math.max(a.x, b.x), width);
  const [top, bottom] = centresBetween(Math.min(a.y, b.y), Math.max(a.y, b.y), height);
  const runs: number[] = [];
  if (end > first) for (let row = top; row < bottom; row++) runs.push(row, first, end);
  return Int32Array.from(runs);
}

function ellipseSpans(
  centre: Point,
  radiusX: number,
  radiusY: number,
  { width, height }: RasterShape,
): Spans {
  const [top, bottom] = centresBetween(centre.y - radiusY, centre.y + radiusY, height);
  const runs: number[] = [];
  for (let row = top; row < bottom; row++) {
    const down = (row + 0.5 - centre.y) / radiusY;
    const half = radiusX * Math.sqrt(Math.max(0, 1 - down * down));
    const [first, end] = centresBetween(centre.x - half, centre.x + half, width);
    if (end > first) runs.push(row, first, end);
  }
  return Int32Array.from(runs);
}

function polygonSpans(points: readonly Point[], { width, height }: RasterShape): Spans {
  const runs: number[] = [];
  const beginning = edgesByFirstRow(points);
  let crossed: Edge[] = [];
  for (let row = 0; row < height; row++) {
    // Only edges that a row crosses are looked at, so that corners cost nothing where they are not.
    crossed = [...crossed.filter(({ end }) => row < end), ...(beginning.get(row) ?? [])];
    const crossings = crossed.map((edge) => crossingOf(edge, row + 0.5)).sort((a, b) => a - b);
    let from = 0;
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const [first, end] = centresBetween(
        crossings[i] as number,
        crossings[i + 1] as number,
        width,
      );
      // Slack may let two touching runs of one row claim the same pixel: it is counted once.
      const start = Math.max(first, from);
      if (end > start) runs.push(row, start, end);
      from = Math.max(from, end);
    }
  }
  return Int32Array.from(runs);
}

/** A side of a polygon, and the row after the last whose centre it crosses. */
interface Edge {
  readonly a: Point;
  readonly b: Point;
  readonly end: number;
}

/** The sides of a polygon by the first row whose centre they cross; what lies above the picture begins at its top. */
function edgesByFirstRow(points: readonly Point[]): ReadonlyMap<number, readonly Edge[]> {
  const edges = new Map<number, Edge[]>();
  for (const [i, a] of points.entries()) {
    const b = points[(i + 1) % points.length] as Point;
    const first = Math.max(0, Math.ceil(Math.min(a.y, b.y) - 0.5));
    const end = Math.ceil(Math.max(a.y, b.y) - 0.5);
    if (first >= end) continue;
    const others = edges.get(first);
    if (others) others.push({ a, b, end });
    else edges.set(first, [{ a, b, end }]);
  }
  return edges;
}

function crossingOf({ a, b }: Edge, y: number): number {
  return a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x);
}

/** Indices [first, end) of the cells of a row or column whose centres lie between two positions. */
function centresBetween(from: number, to: number, cells: number): [number, number] {
  const first = Math.max(0, Math.ceil(from - 0.5 - EDGE_SLACK));
  const end = Math.min(cells, Math.floor(to - 0.5 + EDGE_SLACK) + 1);
  return [first, end];
}
