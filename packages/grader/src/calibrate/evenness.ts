import { log2, type Region, rasteriseRegion, type Spans, squared } from "@tonefall/tone-core";
import { tallyFrame } from "../judge/measure/tallyFrame.ts";
import type { Frame } from "../picture/frame.ts";

/** How the light changes over a card. */
export interface Evenness {
  /** Change from edge to edge along both sides together, of the plane fitted to its light; stops. */
  readonly tilt: number;
  /** Between the lightest and the darkest of its cells, stops. */
  readonly range: number;
}

/** The light is compared in this many cells along each side. */
const CELLS = 6;

interface Cell {
  /** Distance from the region's middle, as a share of its width. */
  readonly x: number;
  readonly y: number;
  readonly stops: number;
}

/** How the light changes over a region that holds one even surface, by the means of its cells. */
export function evenness(frame: Frame, region: Region): Evenness {
  const spans = rasteriseRegion(region, frame);
  const { left, right, top, bottom } = extentOf(spans);
  const cells: Cell[] = [];
  for (let row = 0; row < CELLS; row++) {
    for (let column = 0; column < CELLS; column++) {
      const within = cellSpans(spans, {
        left: Math.round(left + ((right - left) * column) / CELLS),
        right: Math.round(left + ((right - left) * (column + 1)) / CELLS),
        top: Math.round(top + ((bottom - top) * row) / CELLS),
        bottom: Math.round(top + ((bottom - top) * (row + 1)) / CELLS),
      });
      const { pixels, luminanceSum } = tallyFrame(frame, within);
      if (pixels === 0 || luminanceSum <= 0) continue;
      cells.push({
        x: (column + 0.5) / CELLS - 0.5,
        y: (row + 0.5) / CELLS - 0.5,
        stops: log2(luminanceSum / pixels),
      });
    }
  }
  if (cells.length < 4) return { tilt: 0, range: 0 };
  const stops = cells.map((cell) => cell.stops);
  return {
    tilt: Math.abs(slope(cells, "x")) + Math.abs(slope(cells, "y")),
    range: Math.max(...stops) - Math.min(...stops),
  };
}

interface Extent {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

function extentOf(spans: Spans): Extent {
  let [left, right] = [Infinity, 0];
  for (let i = 0; i < spans.length; i += 3) {
    left = Math.min(left, spans[i + 1] as number);
    right = Math.max(right, spans[i + 2] as number);
  }
  return { left, right, top: spans[0] ?? 0, bottom: (spans.at(-3) ?? 0) + 1 };
}

function cellSpans(spans: Spans, { left, right, top, bottom }: Extent): Spans {
  const within: number[] = [];
  for (let i = 0; i < spans.length; i += 3) {
    const row = spans[i] as number;
    const from = Math.max(left, spans[i + 1] as number);
    const to = Math.min(right, spans[i + 2] as number);
    if (row >= top && row < bottom && from < to) within.push(row, from, to);
  }
  return Int32Array.from(within);
}

/** Least-squares slope along one side, stops from edge to edge. */
function slope(cells: readonly Cell[], axis: "x" | "y"): number {
  const mean = (of: (cell: Cell) => number): number =>
    cells.reduce((sum, cell) => sum + of(cell), 0) / cells.length;
  const centre = mean((cell) => cell[axis]);
  const spread = mean((cell) => squared(cell[axis] - centre));
  return spread === 0 ? 0 : mean((cell) => (cell[axis] - centre) * cell.stops) / spread;
}
