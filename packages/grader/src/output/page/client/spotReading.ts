import {
  type Bound,
  type Region,
  rasteriseRegion,
  regionStatistics,
  sceneLight,
  type ToneRaster,
  tallyTone,
} from "@tonefall/tone-core";
import { boundOf } from "../../../judge/grade/fallOf.ts";
import type { FrameLight } from "./frameLight.ts";

/** What a region of the picture comes to. */
export interface SpotReading {
  /** Stops from middle grey on the row's basis. */
  readonly stops: number;
  readonly bound: Bound | null;
}

/**
 * Where a region fell, by the same arithmetic as the command's, on the frame's small light.
 *
 * @param region - in fractions of the upright picture
 * @returns null where the region holds nothing of the picture
 */
export function spotReading(light: FrameLight, region: Region): SpotReading | null {
  const spans = rasteriseRegion(region, { ...light.raster, orientation: 1 });
  if (spans.length === 0) return null;
  const mean = (raster: ToneRaster): number =>
    regionStatistics(tallyTone(raster, spans), raster).mean;
  const { middleGrey, floorStops, sceneGuessed } = light.proxy;
  const luminance = mean(light.raster);
  const stops = luminance > 0 ? Math.log2(luminance / middleGrey) : floorStops;
  const shown = Math.max(floorStops, stops);
  const told = sceneGuessed ? sceneLight(shown) : { stops: shown, bound: null };
  const bound = boundOf({
    clipped: { share: mean(light.clipped) },
    crushed: { share: mean(light.crushed) },
  });
  return { stops: told.stops, bound: bound ?? told.bound };
}
