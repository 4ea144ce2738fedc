/**
 * The arithmetic of photographic tone. Pure functions, no I/O, no Node API.
 *
 * @packageDocumentation
 */

// Settings and the exact values behind them
export {
  apertureFromValue,
  apertureValue,
  brightnessLuminance,
  brightnessResidual,
  exposureValue,
  exposureValue100,
  givenExposure,
  isoFromLogarithmicSpeed,
  isoFromValue,
  logarithmicSpeed,
  type Settings,
  secondsFromValue,
  speedValue,
  timeValue,
} from "./apex/apex.ts";
export { type ExactSettings, exactCompensation, exactSettings } from "./apex/exactSettings.ts";
export {
  MARKED_SERIES,
  type MarkedSeries,
  type MarkedValue,
  type SeriesName,
} from "./apex/markedSeries.ts";
// Where tones belong
export { findTone } from "./chart/findTone.ts";
export { type ChartTone, TONE_CHART } from "./chart/toneChart.ts";
// Agreed figures
export {
  FOOTCANDLE,
  FOOTLAMBERT,
  INCIDENT_METER_C,
  INCIDENT_METER_C_DOME_RANGE,
  INCIDENT_METER_C_FLAT_RANGE,
  LENS_FACTOR,
  MIDDLE_GREY,
  REFLECTED_METER_K,
  REFLECTED_METER_K_RANGE,
  SENSOR_MIDDLE_GREY,
} from "./constants.ts";
export { ToneError, type ToneErrorCode } from "./errors.ts";
// Logarithms and powers that are the same everywhere
export {
  cosine,
  exp2,
  hypot,
  log2,
  naturalLog,
  power,
  powersOf,
  squared,
} from "./exact/exactMath.ts";
// Counting tones
export { codeCounts } from "./histogram/codeCounts.ts";
export { mergeTallies } from "./histogram/mergeTallies.ts";
export { type MosaicRows, pairedRows } from "./histogram/pairedRows.ts";
export {
  luminanceQuantile,
  type RegionStatistics,
  regionStatistics,
} from "./histogram/regionStatistics.ts";
export { LATTICE_FROM_PIXELS, type TallyOptions, tallyTone } from "./histogram/tallyTone.ts";
export {
  type CodeHistogram,
  codeHistograms,
  encodedHistogram,
  type Histogram,
  linearHistogram,
  stopHistogram,
} from "./histogram/toneHistograms.ts";
export { BINS_PER_OCTAVE, binLuminance, type ToneTally } from "./histogram/toneTally.ts";
// Light of usual scenes
export { SCENE_BAND_SLACK, SCENE_BANDS, type SceneBand, scenesAt } from "./light/sceneBands.ts";
// Colour as luminance
export { adaptXyz, D50, D65, type Xyz } from "./luminance/adaptXyz.ts";
export {
  type LinearRgb,
  linearSrgbFromD50,
  type ToSrgb,
  toSrgbFromPrimaries,
} from "./luminance/linearSrgb.ts";
export {
  type Chromaticity,
  D50_XY,
  D65_XY,
  LUMINANCE_ROWS,
  type LuminanceRow,
  luminanceRowFromPrimaries,
  PRIMARIES,
  type Primaries,
  type RgbSpaceName,
  relativeLuminance,
} from "./luminance/luminanceRow.ts";
export { inverseMap, type Matrix, type Triple } from "./luminance/matrix.ts";
// Meters and sensors
export {
  exposureValueFromIlluminance,
  exposureValueFromLuminance,
  illuminanceFromExposureValue,
  illuminanceFromSettings,
  impliedReflectance,
  luminanceFromExposureValue,
  luminanceFromSettings,
} from "./meter/exposureMeter.ts";
export {
  exposureIndex,
  focalPlaneExposure,
  type LensLight,
  lensFactor,
  meteredShareOfSaturation,
  saturationLuminance,
  saturationSpeed,
} from "./meter/sensorExposure.ts";
export { type Placement, parsePlacement, type StopRange } from "./placement/parsePlacement.ts";
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
// Response: which light stands behind a code
export {
  type FrameAgreement,
  type RecoveredResponse,
  recoverResponse,
} from "./response/recoverResponse.ts";
export { type ResponseCurve, type ResponsePoint, responseCurve } from "./response/responseCurve.ts";
export type { ResponseInput, ResponseObservation } from "./response/responseInput.ts";

// One tone on every scale
export { lightness, luminanceFromLightness } from "./scale/lightness.ts";
export {
  type Tone,
  toneFromDensity,
  toneFromLightness,
  toneFromReflectance,
  toneFromSrgbCode,
  toneFromStops,
  toneFromZone,
} from "./scale/tone.ts";
export {
  stopsFromZone,
  ZONE_AT_DISPLAY_WHITE,
  ZONE_AT_SENSOR_SATURATION,
  ZONE_NAMES,
  type ZoneName,
  zoneFromName,
  zoneFromStops,
  zoneName,
} from "./scale/zone.ts";

// Middles and shares of values
export { median, quantile } from "./statistics/quantile.ts";

// Stops
export { parseStops } from "./stops/parseStops.ts";
export { roundToThirds, type SpeakOptions, speakStops } from "./stops/speakStops.ts";
export { luminanceAtStops, stopsBetween } from "./stops/stopsBetween.ts";

// Words
export { nearestWord } from "./text/nearestWord.ts";
export { cutText, shownText } from "./text/shownText.ts";

// What code values mean
export {
  ADOBE_RGB,
  DISPLAY_P3,
  gammaTransfer,
  LINEAR,
  PROPHOTO,
  REC709_CAMERA,
  SRGB,
} from "./transfer/namedTransfers.ts";
export { parametricTransfer, tabulatedTransfer } from "./transfer/profileTransfers.ts";
export { type TransferFunction, transferTable } from "./transfer/transferFunction.ts";

// Verdicts
export { codeQuantumStops } from "./verdict/codeQuantumStops.ts";
export {
  DEFAULT_TOLERANCE,
  ERROR_BUDGET,
  ERROR_BUDGET_PROVENANCE,
  type ErrorBudget,
  errorUncertainty,
  type Kit,
  RENDERED_CONTRAST,
  RENDERED_MEASURING,
  renderedUncertainty,
  samplingUncertainty,
  type Uncertainty,
  type UncertaintyInput,
} from "./verdict/errorBudget.ts";
export { exposureError } from "./verdict/exposureError.ts";
export {
  renderedOfLight,
  type SceneLight,
  type SceneLightKnot,
  SHOULDER_STOPS,
  sceneLight,
  sceneLightBy,
} from "./verdict/sceneLight.ts";
export {
  type Bound,
  type Verdict,
  type VerdictInput,
  type VerdictResult,
  verdict,
} from "./verdict/verdict.ts";
