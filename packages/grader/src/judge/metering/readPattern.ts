import type { MeteringPattern } from "@tonefall/exif-reader";
import type { BoundedStops, Reading, SimulatedPattern } from "../../model/metering.ts";
import type { Frame } from "../../picture/frame.ts";
import { boundOf, stopsScale } from "../grade/fallOf.ts";
import { boundedDifference } from "./boundedStops.ts";
import { meterZones, type SpotSettings, type Zone } from "./meterZones.ts";

/** The patterns that can be laid over a picture, from the smallest area to the largest. */
export const SIMULATED_PATTERNS: readonly SimulatedPattern[] = [
  "spot",
  "partial",
  "centre-weighted",
  "average",
  "multi-segment",
];

/** How a reading is taken. */
export interface ReadingOptions extends SpotSettings {
  /**
   * Where the brief's region fell, on the same basis as the reading.
   * @default null: no word on where it would have fallen
   */
  readonly fall?: BoundedStops | null;
  /**
   * Stops of this frame as stops of the row's basis: of light, where the claim on a rendering is on the scene.
   * @default the frame's own
   */
  readonly onBasis?: (stops: number) => BoundedStops;
}

/** A recorded pattern as one that can be simulated; null where none is recorded, or its weighting is not known. */
export function simulatedPattern(recorded: MeteringPattern | null): SimulatedPattern | null {
  return SIMULATED_PATTERNS.find((pattern) => pattern === recorded) ?? null;
}

/**
 * What a metering pattern sees in a frame, relative to middle grey.
 *
 * A meter integrates light, so zones are means of linear luminance, and colour counts by its luminance alone. The
 * multi-segment estimate takes the mean of its cells in stops, which keeps a lamp or a strip of sky from ruling it.
 *
 * @param frame - from any decoder
 * @param pattern - spot and partial lie at the centre unless `options` move the spot
 * @returns null when the pattern covers no visible pixel
 */
export function readPattern(
  frame: Frame,
  pattern: SimulatedPattern,
  { fall = null, onBasis = asShown, ...spot }: ReadingOptions = {},
): Reading | null {
  const zones = meterZones(frame, pattern, spot).filter(({ pixels }) => pixels > 0);
  if (zones.length === 0) return null;
  const stopsOf = stopsScale(frame);
  const estimate = pattern === "multi-segment";
  const mean = estimate
    ? weighted(zones, ({ light, pixels }) => stopsOf(light / pixels))
    : stopsOf(weighted(zones, ({ light, pixels }) => light / pixels));
  const onRow = onBasis(mean);
  const bound = boundOf({
    clipped: { share: weighted(zones, ({ clipped, pixels }) => clipped / pixels) },
    crushed: { share: weighted(zones, ({ crushed, pixels }) => crushed / pixels) },
  });
  const reading = { stops: onRow.stops, bound: bound ?? onRow.bound };
  return {
    pattern,
    ...reading,
    estimate,
    fallIfFollowed: fall && boundedDifference(fall, reading),
  };
}

const asShown = (stops: number): BoundedStops => ({ stops, bound: null });

function weighted(zones: readonly Zone[], value: (zone: Zone) => number): number {
  const total = zones.reduce((sum, { weight }) => sum + weight, 0);
  return zones.reduce((sum, zone) => sum + zone.weight * value(zone), 0) / total;
}
