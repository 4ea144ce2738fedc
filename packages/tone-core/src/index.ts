/**
 * The arithmetic of photographic tone. Pure functions, no I/O, no Node API.
 *
 * @packageDocumentation
 */
export { ToneError, type ToneErrorCode } from "./errors.ts";
// Counting tones
export { mergeTallies } from "./histogram/mergeTallies.ts";
export {
  luminanceQuantile,
  type RegionStatistics,
  regionStatistics,
} from "./histogram/regionStatistics.ts";
export { type TallyOptions, tallyTone } from "./histogram/tallyTone.ts";
export {
  type CodeHistogram,
  codeHistograms,
  encodedHistogram,
  type Histogram,
  linearHistogram,
  stopHistogram,
} from "./histogram/toneHistograms.ts";
export { BINS_PER_OCTAVE, binLuminance, type ToneTally } from "./histogram/toneTally.ts";
// Pixels and the light they stand for
export type { ToneChannel, ToneRaster } from "./raster/toneRaster.ts";
// Regions: the part of the frame that is the subject
export { storedFromUpright, swapsSides, uprightFromStored } from "./region/orientation.ts";
export { parseRegion, regionText } from "./region/parseRegion.ts";
export {
  type RasterShape,
  rasteriseRegion,
  type Spans,
  spanPixels,
} from "./region/rasteriseRegion.ts";
export {
  type BoxRegion,
  type CircleRegion,
  type DiscRegion,
  type EllipseRegion,
  PARTIAL,
  PARTIAL_SHARE,
  type Point,
  type PolygonRegion,
  type Region,
  SPOT,
  SPOT_SHARE,
  type WholeRegion,
} from "./region/region.ts";
