import { type Bound, type Region, rasteriseRegion, sceneLight } from "@tonefall/tone-core";
import { boundOf } from "../../../judge/grade/fallOf.ts";
import type { FrameLight, RowSums } from "./frameLight.ts";

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
  const spans = rasteriseRegion(region, { ...light, orientation: 1 });
  if (spans.length === 0) return null;
  const mean = (sums: RowSums): number => meanOver(spans, sums, light.width);
  const { middleGrey, floorStops, sceneGuessed } = light.proxy;
  const luminance = mean(light.luminance);
  const stops = luminance > 0 ? Math.log2(luminance / middleGrey) : floorStops;
  const shown = Math.max(floorStops, stops);
  const told = sceneGuessed ? sceneLight(shown) : { stops: shown, bound: null };
  const bound = boundOf({
    clipped: { share: mean(light.clipped) },
    crushed: { share: mean(light.crushed) },
  });
  return { stops: told.stops, bound: bound ?? told.bound };
}

/** The mean over runs of pixels: a row, where the run begins, and where it ends. */
function meanOver(spans: Int32Array, sums: RowSums, width: number): number {
  let [sum, pixels] = [0, 0];
  for (let i = 0; i < spans.length; i += 3) {
    const [y, from, to] = [spans[i] as number, spans[i + 1] as number, spans[i + 2] as number];
    const row = y * (width + 1);
    sum += (sums[row + to] as number) - (sums[row + from] as number);
    pixels += to - from;
  }
  return sum / pixels;
}
