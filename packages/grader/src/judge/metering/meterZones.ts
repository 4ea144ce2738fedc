import {
  type CircleRegion,
  type DiscRegion,
  hypot,
  PARTIAL,
  type Point,
  type Region,
  rasteriseRegion,
  SPOT,
  type Spans,
  squared,
  swapsSides,
} from "@tonefall/tone-core";
import type { SimulatedPattern } from "../../model/metering.ts";
import type { Frame } from "../../picture/frame.ts";
import { tallyFrame } from "../measure/tallyFrame.ts";

/** A part of the frame, what a meter sees of it, and how much it counts. */
export interface Zone {
  /** Relative to the other zones of the pattern. */
  readonly weight: number;
  /** Pixels that were counted. */
  readonly pixels: number;
  /** Sum of relative luminance over them. */
  readonly light: number;
  /** How many have a clipped channel. */
  readonly clipped: number;
  /** How many hold no tone. */
  readonly crushed: number;
}

/** Where and how large the spot is. */
export interface SpotSettings {
  /**
   * Its centre, in fractions of the upright picture.
   * @default the middle of the picture
   */
  readonly spot?: Point;
  /**
   * Its share of the picture's area, in (0, 1].
   * @default 0.03
   */
  readonly spotShare?: number;
}

/** Weight of the circle of centre-weighted metering; the rest of the frame has what is left. Common practice. */
const CENTRE_WEIGHT = 0.75;

/** Diameter of that circle over the frame's diagonal: 12 mm on 36 x 24 mm [CENTRE-WEIGHT], scaled to any format. */
const CENTRE_DIAMETER_SHARE: number = 12 / hypot(36, 24);

/** Cells across and down in the estimate of multi-segment metering; the middle one counts double. Our own rule. */
const CELLS = 3;
const MIDDLE_CELL_WEIGHT = 2;

/** A reading is an average over a large area: beyond this many pixels, evenly spread rows of the frame stand for all. */
const ENOUGH_PIXELS = 2e6;

/**
 * The zones of a metering pattern with the light of each, in the upright full frame.
 *
 * Spot and partial are one disc each, average the whole frame. Centre-weighted is a circle and the rest of the frame.
 * Multi-segment is a grid of 3 x 3 equal cells: a stand-in, since makers do not publish theirs.
 */
export function meterZones(
  frame: Frame,
  pattern: SimulatedPattern,
  { spot = SPOT, spotShare = SPOT.share }: SpotSettings = {},
): readonly Zone[] {
  switch (pattern) {
    case "spot": {
      const disc: DiscRegion = { shape: "disc", x: spot.x, y: spot.y, share: spotShare };
      return [zoneOf(frame, disc, 1)];
    }
    case "partial":
      return [zoneOf(frame, PARTIAL, 1)];
    case "average":
      return [zoneOf(frame, { shape: "whole" }, 1)];
    case "centre-weighted": {
      const circle = zoneOf(frame, centreCircle(frame), CENTRE_WEIGHT);
      const whole = zoneOf(frame, { shape: "whole" }, 1);
      return [circle, remainder(whole, circle, 1 - CENTRE_WEIGHT)];
    }
    case "multi-segment":
      return gridCells().map(({ region, weight }) => zoneOf(frame, region, weight));
  }
}

function centreCircle({ width, height, orientation }: Frame): CircleRegion {
  const across = swapsSides(orientation) ? height : width;
  const radius = (CENTRE_DIAMETER_SHARE * hypot(width, height)) / 2;
  return { shape: "circle", x: 0.5, y: 0.5, radius: radius / across };
}

function gridCells(): { region: Region; weight: number }[] {
  return Array.from({ length: squared(CELLS) }, (_, cell) => {
    const [column, row] = [cell % CELLS, Math.floor(cell / CELLS)];
    const middle = column === row && column === (CELLS - 1) / 2;
    const size = 1 / CELLS;
    const region: Region = {
      shape: "box",
      x: column * size,
      y: row * size,
      width: size,
      height: size,
    };
    return { region, weight: middle ? MIDDLE_CELL_WEIGHT : 1 };
  });
}

function zoneOf(frame: Frame, region: Region, weight: number): Zone {
  const tally = tallyFrame(frame, thinned(rasteriseRegion(region, frame), frame));
  return {
    weight,
    pixels: tally.pixels,
    light: tally.luminanceSum,
    clipped: tally.clippedPixels,
    crushed: tally.crushedPixels,
  };
}

function remainder(whole: Zone, part: Zone, weight: number): Zone {
  return {
    weight,
    pixels: whole.pixels - part.pixels,
    light: whole.light - part.light,
    clipped: whole.clipped - part.clipped,
    crushed: whole.crushed - part.crushed,
  };
}

/** The same rows of a frame for every zone, so that parts of it still add up to the whole. */
function thinned(spans: Spans, { width, height }: Frame): Spans {
  const step = Math.floor((width * height) / ENOUGH_PIXELS);
  if (step < 2) return spans;
  return spans.filter((_, i) => (spans[i - (i % 3)] as number) % step === step >> 1);
}
