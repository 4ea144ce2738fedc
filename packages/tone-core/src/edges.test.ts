import { describe, expect, test } from "vitest";
import type { ResponseInput, ToneErrorCode, ToneRaster, ToneTally } from "./index.ts";
import * as tone from "./index.ts";

/**
 * What every export does at its edges. The list is held against the module itself, so that an export without an entry
 * fails. Truth here is the documented rule, not what the code happens to answer: a refusal of a stated code, or a value
 * that the docstring promises.
 */

/** A call at an edge, and what it must come to: a code of a refusal, or a value. */
type Edge = readonly [call: () => unknown, outcome: ToneErrorCode | { readonly value: unknown }];

const RANGE = "TONE_OUT_OF_RANGE";
const EMPTY = "TONE_EMPTY_INPUT";
const UNKNOWN = "TONE_UNKNOWN_NAME";
const PLACEMENT = "TONE_BAD_PLACEMENT";
const REGION = "TONE_BAD_REGION";
const STOPS = "TONE_BAD_STOPS";

const NONE = [Number.NaN, Infinity, -Infinity];
const NOT_ABOVE_ZERO = [...NONE, 0, -1];
const NOT_COUNTS = [...NONE, 2.5, -1];
const HUGE = Number.MAX_VALUE;
const TINY = Number.MIN_VALUE;

const SETTINGS = { aperture: 8, shutterSeconds: 0.01, iso: 100 };

/** Every way to spoil one of an object's numbers. */
function spoilt<T extends object>(whole: T, numbers: readonly number[]): T[] {
  return Object.keys(whole).flatMap((name) =>
    numbers.map((value) => ({ ...whole, [name]: value })),
  );
}

/** Answers that are a function's of the language, infinities and no number among them. */
function like(
  call: (input: number) => number,
  of: (input: number) => number,
  inputs: readonly number[],
): Edge[] {
  return inputs.map((input) => [() => Object.is(call(input), of(input)), { value: true }]);
}

function refused<T>(
  code: ToneErrorCode,
  call: (input: T) => unknown,
  inputs: readonly T[],
): Edge[] {
  return inputs.map((input) => [() => call(input), code]);
}

function gives(value: unknown, call: () => unknown): Edge {
  return [call, { value }];
}

const LIGHT = Float64Array.from({ length: 256 }, (_, code) => code / 255);
const RASTER: ToneRaster = {
  width: 2,
  height: 1,
  samples: Uint8Array.of(0, 255),
  stride: 1,
  channels: [{ name: "grey", luminance: LIGHT, clipCode: 255, crushCode: 0 }],
};
const WHOLE = Int32Array.of(0, 0, 2);
const NO_PIXELS = new Int32Array();
const TALLY = tone.tallyTone(RASTER, WHOLE);
const EMPTY_TALLY = tone.tallyTone(RASTER, NO_PIXELS);
const BAD_SPANS = [
  Int32Array.of(0, 0),
  Int32Array.of(0, 0, 3),
  Int32Array.of(0, -1, 1),
  Int32Array.of(1, 0, 1),
  Int32Array.of(0, 2, 1),
];
const BAD_RASTERS: ToneRaster[] = [
  ...NOT_COUNTS.flatMap((side) => [
    { ...RASTER, width: side },
    { ...RASTER, height: side },
    { ...RASTER, stride: side },
  ]),
  { ...RASTER, stride: 0 },
  { ...RASTER, stride: 1e9, width: 0 },
  { ...RASTER, samples: new Uint8Array(1) },
  { ...RASTER, samples: new Uint8Array() },
];
const BAD_TALLIES: ToneTally[] = [
  { ...TALLY, bins: new Uint32Array(3) },
  { ...TALLY, bins: new Uint32Array() },
  ...NOT_ABOVE_ZERO.map((unit) => ({ ...TALLY, unit })),
  ...NOT_COUNTS.map((tonedPixels) => ({ ...TALLY, tonedPixels })),
];

function light(change: (code: number) => number): ToneRaster {
  const luminance = Float64Array.from({ length: 256 }, (_, code) => change(code));
  return { ...RASTER, channels: [{ name: "grey", luminance, clipCode: 255, crushCode: 0 }] };
}

function channel(change: Partial<ToneRaster["channels"][number]>): ToneRaster {
  return {
    ...RASTER,
    channels: [{ ...(RASTER.channels[0] as (typeof RASTER.channels)[0]), ...change }],
  };
}

const MOSAIC = { samples: new Uint16Array(16), pitch: 4, left: 0, top: 0 };

/** Places of a wedge that frames one stop apart show through a plain power curve. */
const BRACKET: ResponseInput = {
  places: Array.from({ length: 20 }, (_, place) =>
    [0, 1].map((frame) => ({ frame, code: 20 + 5 * place + 60 * frame, codeError: 0.5 })),
  ),
  exposures: [0, 1],
  exposureError: 0.02,
  encodedStops: (code) => 2.2 * Math.log2(code),
  middleCode: 118,
  invert: (matrix) => matrix.map((row, i) => row.map((_, j) => (i === j ? 1e-6 : 0))),
};

function observed(change: object): ResponseInput {
  const [first, ...rest] = BRACKET.places;
  const spoiltPlace = (first ?? []).map((seen) => ({ ...seen, ...change }));
  return { ...BRACKET, places: [spoiltPlace, ...rest] };
}

const CURVE = tone.responseCurve([
  { code: 64, stops: -1 },
  { code: 128, stops: 0 },
]);

const TRANSFERS = [
  tone.SRGB,
  tone.DISPLAY_P3,
  tone.ADOBE_RGB,
  tone.PROPHOTO,
  tone.LINEAR,
  tone.REC709_CAMERA,
];

/** Edges of both ways of a transfer function. */
function transferEdges(transfer: tone.TransferFunction): Edge[] {
  const outside = [...NONE, -0.001, 1.001];
  return [
    ...refused(RANGE, transfer.linearise, outside),
    ...refused(RANGE, transfer.encode, outside),
    gives(0, () => transfer.linearise(0)),
    gives(1, () => transfer.linearise(1)),
    gives(0, () => transfer.encode(0)),
    gives(1, () => Number(transfer.encode(1).toFixed(12))),
  ];
}

const PRIMARIES = tone.PRIMARIES.srgb;
const ONE_LINE: tone.Primaries = [
  [0.1, 0.1],
  [0.2, 0.2],
  [0.3, 0.3],
];
const BAD_POINTS = NONE.flatMap((bad) => [
  { x: bad, y: 0.5 },
  { x: 0.5, y: bad },
]);
const BAD_ORIENTATIONS = [...NOT_COUNTS, 0, 9];
const MANY_CORNERS = Array.from({ length: 200_000 }, () => ({ x: 0.5, y: 0.5 }));
const BAD_REGIONS = [
  { shape: "triangle" },
  { shape: "constructor" },
  { shape: undefined },
  ...NONE.flatMap((bad) => [
    { shape: "disc", x: bad, y: 0, share: 0.1 },
    { shape: "disc", x: 0, y: 0, share: bad },
    { shape: "box", x: 0, y: bad, width: 1, height: 1 },
    { shape: "box", x: 0, y: 0, width: bad, height: 1 },
    { shape: "circle", x: 0, y: 0, radius: bad },
    { shape: "ellipse", x: 0, y: 0, radiusX: 1, radiusY: bad },
    {
      shape: "polygon",
      points: [
        { x: 0, y: 0 },
        { x: 1, y: bad },
        { x: 1, y: 1 },
      ],
    },
  ]),
  { shape: "disc", x: 0, y: 0, share: 1.5 },
  { shape: "box", x: 0, y: 0, width: -1, height: 1 },
  { shape: "circle", x: 0, y: 0, radius: -1 },
  { shape: "polygon", points: [] },
  { shape: "polygon", points: MANY_CORNERS },
] as unknown as tone.Region[];
const UPRIGHT = { width: 4, height: 2, orientation: 1 };

/** What is no function: figures and tables, which have no edges. */
const DATA = [
  "BINS_PER_OCTAVE",
  "D50",
  "D50_XY",
  "D65",
  "D65_XY",
  "DEFAULT_TOLERANCE",
  "ERROR_BUDGET",
  "ERROR_BUDGET_PROVENANCE",
  "FOOTCANDLE",
  "FOOTLAMBERT",
  "INCIDENT_METER_C",
  "INCIDENT_METER_C_DOME_RANGE",
  "INCIDENT_METER_C_FLAT_RANGE",
  "LATTICE_FROM_PIXELS",
  "LENS_FACTOR",
  "LUMINANCE_ROWS",
  "MARKED_SERIES",
  "MIDDLE_GREY",
  "PARTIAL",
  "PARTIAL_SHARE",
  "PRIMARIES",
  "REFLECTED_METER_K",
  "REFLECTED_METER_K_RANGE",
  "RENDERED_CONTRAST",
  "RENDERED_MEASURING",
  "SCENE_BANDS",
  "SCENE_BAND_SLACK",
  "SENSOR_MIDDLE_GREY",
  "SHOULDER_STOPS",
  "SPOT",
  "SPOT_SHARE",
  "TONE_CHART",
  "ZONE_AT_DISPLAY_WHITE",
  "ZONE_AT_SENSOR_SATURATION",
  "ZONE_NAMES",
];

const BAD_SETTINGS = spoilt(SETTINGS, NOT_ABOVE_ZERO);
const { iso: _iso, ...LIGHT_SETTINGS } = SETTINGS;

const EDGES: Readonly<Record<string, readonly Edge[]>> = {
  // Settings
  apertureValue: refused(RANGE, tone.apertureValue, NOT_ABOVE_ZERO),
  apertureFromValue: refused(RANGE, tone.apertureFromValue, [...NONE, 1e5, -1e5]),
  timeValue: refused(RANGE, tone.timeValue, NOT_ABOVE_ZERO),
  secondsFromValue: refused(RANGE, tone.secondsFromValue, [...NONE, 1e5, -1e5]),
  speedValue: refused(RANGE, tone.speedValue, [...NOT_ABOVE_ZERO, TINY]),
  isoFromValue: refused(RANGE, tone.isoFromValue, [...NONE, 1e5, -1e5]),
  exposureValue: refused(RANGE, tone.exposureValue, spoilt(LIGHT_SETTINGS, NOT_ABOVE_ZERO)),
  exposureValue100: refused(RANGE, tone.exposureValue100, [
    ...BAD_SETTINGS,
    { ...SETTINGS, iso: TINY },
  ]),
  givenExposure: refused(RANGE, tone.givenExposure, BAD_SETTINGS),
  brightnessResidual: [
    ...refused(RANGE, (settings) => tone.brightnessResidual(1, settings), BAD_SETTINGS),
    ...refused(RANGE, (bv) => tone.brightnessResidual(bv, SETTINGS), NONE),
  ],
  brightnessLuminance: [
    ...refused(RANGE, (bv) => tone.brightnessLuminance(bv), [...NONE, 1e5, -1e5]),
    ...refused(RANGE, (k) => tone.brightnessLuminance(1, k), NOT_ABOVE_ZERO),
  ],
  logarithmicSpeed: refused(RANGE, tone.logarithmicSpeed, NOT_ABOVE_ZERO),
  isoFromLogarithmicSpeed: refused(RANGE, tone.isoFromLogarithmicSpeed, [...NONE, 1e5, -1e5]),
  exactSettings: [
    ...refused(RANGE, tone.exactSettings, BAD_SETTINGS),
    gives({ ...SETTINGS, aperture: HUGE, series: null }, () =>
      tone.exactSettings({ ...SETTINGS, aperture: HUGE }),
    ),
  ],
  exactCompensation: [
    ...refused(RANGE, tone.exactCompensation, NONE),
    gives(HUGE, () => tone.exactCompensation(HUGE)),
    gives(0, () => tone.exactCompensation(-0.01)),
  ],
  // Tones and scenes
  findTone: refused(UNKNOWN, tone.findTone, ["", " ", "\0", "x".repeat(1e5), "__proto__"]),
  scenesAt: [
    ...refused(RANGE, tone.scenesAt, NONE),
    gives([], () => tone.scenesAt(HUGE)),
    gives([], () => tone.scenesAt(-HUGE)),
  ],
  // Counting
  codeCounts: [
    ...refused(RANGE, (spans) => tone.codeCounts(RASTER, spans), BAD_SPANS),
    ...refused(RANGE, (raster) => tone.codeCounts(raster), BAD_RASTERS),
    gives(0, () => tone.codeCounts(RASTER, NO_PIXELS)[0]?.reduce((sum, count) => sum + count)),
  ],
  codeHistograms: [
    ...refused(RANGE, (spans) => tone.codeHistograms(RASTER, spans), BAD_SPANS),
    ...refused(RANGE, (raster) => tone.codeHistograms(raster, WHOLE), BAD_RASTERS),
    ...refused(RANGE, (raster) => tone.codeHistograms(raster, WHOLE), [
      { ...RASTER, channels: [...RASTER.channels, ...RASTER.channels] },
    ]),
    gives(0, () => total(tone.codeHistograms(RASTER, NO_PIXELS)[0]?.counts)),
  ],
  mergeTallies: [
    ...refused(EMPTY, tone.mergeTallies, [[]]),
    ...refused(RANGE, (bad) => tone.mergeTallies([TALLY, bad]), BAD_TALLIES),
    ...refused(RANGE, (bad) => tone.mergeTallies([TALLY, bad]), [
      { ...TALLY, unit: TALLY.unit / 2 },
      { ...TALLY, clippedByChannel: [] },
      { ...TALLY, clippedByChannel: [1, 2] },
    ]),
    gives(TALLY.pixels, () => tone.mergeTallies([TALLY, EMPTY_TALLY]).pixels),
  ],
  pairedRows: [
    ...refused(RANGE, (mosaic) => tone.pairedRows(mosaic, 1, 1, new Uint16Array(4)), [
      ...NOT_COUNTS.flatMap((bad) => [
        { ...MOSAIC, pitch: bad },
        { ...MOSAIC, left: bad },
        { ...MOSAIC, top: bad },
      ]),
      { ...MOSAIC, pitch: 0 },
      { ...MOSAIC, left: 3 },
      { ...MOSAIC, top: 3 },
      { ...MOSAIC, samples: new Uint16Array() },
    ]),
    ...refused(RANGE, (width) => tone.pairedRows(MOSAIC, width, 1, new Uint16Array(64)), [
      ...NOT_COUNTS,
      3,
    ]),
    ...refused(RANGE, (height) => tone.pairedRows(MOSAIC, 1, height, new Uint16Array(64)), [
      ...NOT_COUNTS,
      3,
    ]),
    ...refused(RANGE, (room) => tone.pairedRows(MOSAIC, 2, 2, new Uint16Array(room)), [0, 15]),
    gives(undefined, () => tone.pairedRows(MOSAIC, 0, 0, new Uint16Array())),
  ],
  luminanceQuantile: [
    ...refused(RANGE, (share) => tone.luminanceQuantile(TALLY, share), [...NONE, -0.1, 1.2]),
    ...refused(RANGE, (tally) => tone.luminanceQuantile(tally, 0.5), BAD_TALLIES),
    ...refused(EMPTY, (share) => tone.luminanceQuantile(EMPTY_TALLY, share), [0, 0.5, 1]),
    [() => tone.luminanceQuantile({ ...TALLY, tonedPixels: 9 }, 1), RANGE],
    gives(0, () => tone.luminanceQuantile(TALLY, 0)),
    gives(1, () => tone.luminanceQuantile(TALLY, 1)),
  ],
  regionStatistics: [
    ...refused(EMPTY, (tally) => tone.regionStatistics(tally, RASTER), [
      EMPTY_TALLY,
      { ...TALLY, tonedPixels: 0 },
    ]),
    ...refused(RANGE, (tally) => tone.regionStatistics(tally, RASTER), [
      { ...TALLY, clippedByChannel: [] },
      { ...TALLY, luminanceSum: Number.NaN },
      { ...TALLY, bins: new Uint32Array(3) },
    ]),
  ],
  tallyTone: [
    ...refused(RANGE, (spans) => tone.tallyTone(RASTER, spans), BAD_SPANS),
    ...refused(RANGE, (raster) => tone.tallyTone(raster, WHOLE), [
      ...BAD_RASTERS,
      { ...RASTER, channels: [] },
      { ...RASTER, channels: [...RASTER.channels, ...RASTER.channels] },
      ...NONE.map((bad) => light((code) => (code === 7 ? bad : code / 255))),
      light(() => HUGE),
      light((code) => (code === 255 ? TINY : 0)),
      light((code) => (code === 0 ? -3 : code / 255)),
      channel({ luminance: new Float64Array(0) }),
      channel({ luminance: new Float64Array(65536) }),
      ...NONE.flatMap((bad) => [channel({ clipCode: bad }), channel({ crushCode: bad })]),
    ]),
    ...refused(RANGE, (alphaIndex) => tone.tallyTone(RASTER, WHOLE, { alphaIndex }), [
      ...NOT_COUNTS,
      1,
    ]),
    ...refused(
      RANGE,
      (alphaMax) => tone.tallyTone(RASTER, WHOLE, { alphaIndex: 0, alphaMax }),
      NOT_ABOVE_ZERO,
    ),
    gives(0, () => EMPTY_TALLY.pixels + EMPTY_TALLY.tonedPixels + EMPTY_TALLY.luminanceSum),
    // A white beyond all codes clips nothing, and one between two codes clips the upper.
    gives(0, () => tone.tallyTone(channel({ clipCode: 2 ** 32 }), WHOLE).clippedPixels),
    gives(1, () => tone.tallyTone(channel({ clipCode: 254.5 }), WHOLE).clippedPixels),
    gives(2, () => tone.tallyTone(channel({ clipCode: -(2 ** 40) }), WHOLE).clippedPixels),
  ],
  linearHistogram: [
    ...refused(RANGE, (cells) => tone.linearHistogram(TALLY, cells), [
      ...NOT_COUNTS,
      0,
      65537,
      1e9,
    ]),
    ...refused(RANGE, (tally) => tone.linearHistogram(tally), BAD_TALLIES),
    gives([1, 1], () => tone.linearHistogram(TALLY, 2).counts),
    gives([2], () => tone.linearHistogram(TALLY, 1).counts),
    gives([0, 0], () => tone.linearHistogram(EMPTY_TALLY, 2).counts),
  ],
  stopHistogram: [
    ...refused(RANGE, (grey) => tone.stopHistogram(TALLY, grey), NOT_ABOVE_ZERO),
    ...refused<readonly [number, number]>(
      RANGE,
      (range) => tone.stopHistogram(TALLY, 0.18, range),
      [
        ...NONE.flatMap((bad): [number, number][] => [
          [bad, 4],
          [-8, bad],
        ]),
        [4, -8],
        [1, 1],
        [0, 0.1],
        [0, 1e9],
        [0, 20000],
        [-20000, 0],
      ],
    ),
    ...refused(RANGE, (cells) => tone.stopHistogram(TALLY, 0.18, [-8, 4], cells), [
      ...NOT_COUNTS,
      0,
      1001,
    ]),
    ...refused(RANGE, (tally) => tone.stopHistogram(tally, 0.18), BAD_TALLIES),
    gives(0, () => total(tone.stopHistogram(EMPTY_TALLY, 0.18).counts)),
  ],
  encodedHistogram: [
    ...refused(RANGE, (curve) => tone.encodedHistogram(TALLY, curve), [
      ...NONE.map((bad) => () => bad),
      (encoded: number) => 1 - encoded,
    ]),
    ...refused(RANGE, (tally) => tone.encodedHistogram(tally, tone.LINEAR.linearise), BAD_TALLIES),
    gives(0, () => total(tone.encodedHistogram(EMPTY_TALLY, tone.LINEAR.linearise).counts)),
  ],
  binLuminance: [
    ...refused(RANGE, (bin) => tone.binLuminance(TALLY, bin, 0), [
      ...NOT_COUNTS,
      0,
      TALLY.bins.length,
    ]),
    ...refused(RANGE, (part) => tone.binLuminance(TALLY, 1, part), [...NONE, -0.1, 1.1]),
    ...refused(RANGE, (unit) => tone.binLuminance({ unit }, 1, 0), NOT_ABOVE_ZERO),
    gives(TALLY.unit, () => tone.binLuminance(TALLY, 1, 0)),
  ],
  // Colour
  adaptXyz: [
    ...refused<tone.Xyz>(RANGE, (xyz) => tone.adaptXyz(xyz, tone.D50, tone.D65), [
      ...NONE.map((bad) => [bad, 1, 1] as const),
      [HUGE, HUGE, HUGE],
    ]),
    ...refused<tone.Xyz>(RANGE, (white) => tone.adaptXyz(tone.D50, white, tone.D65), [
      ...NONE.map((bad) => [1, bad, 1] as const),
      [0, 0, 0],
    ]),
    ...refused<tone.Xyz>(RANGE, (white) => tone.adaptXyz(tone.D50, tone.D65, white), [
      ...NONE.map((bad) => [1, bad, 1] as const),
      [0, 0, 0],
    ]),
  ],
  inverseMap: [
    ...NONE.map((bad) =>
      gives(null, () =>
        tone.inverseMap([
          [1, 0, 0],
          [0, bad, 0],
          [0, 0, 1],
        ]),
      ),
    ),
    gives(null, () =>
      tone.inverseMap([
        [1, 2, 3],
        [2, 4, 6],
        [0, 0, 1],
      ]),
    ),
    ...refused<tone.Triple>(
      RANGE,
      (mapped) =>
        tone.inverseMap([
          [1e-9, 0, 0],
          [0, 1, 0],
          [0, 0, 1],
        ])?.(mapped),
      [...NONE.map((bad) => [1, bad, 1] as const), [HUGE, 0, 0]],
    ),
  ],
  linearSrgbFromD50: refused<tone.Xyz>(RANGE, tone.linearSrgbFromD50, [
    ...NONE.map((bad) => [1, 1, bad] as const),
    [HUGE, -HUGE, HUGE],
  ]),
  toSrgbFromPrimaries: [
    ...refused<tone.Primaries>(RANGE, (bad) => tone.toSrgbFromPrimaries(bad, tone.D65_XY), [
      ONE_LINE,
      ...NONE.map((bad) => [[bad, 0.3], PRIMARIES[1], PRIMARIES[2]] as const),
      [[0.3, 0], PRIMARIES[1], PRIMARIES[2]],
    ]),
    ...refused<tone.Chromaticity>(RANGE, (white) => tone.toSrgbFromPrimaries(PRIMARIES, white), [
      ...NONE.map((bad) => [0.3, bad] as const),
      [0.3, 0],
    ]),
  ],
  luminanceRowFromPrimaries: [
    ...refused<tone.Primaries>(RANGE, (bad) => tone.luminanceRowFromPrimaries(bad, tone.D65_XY), [
      ONE_LINE,
      ...NONE.map((bad) => [[0.6, bad], PRIMARIES[1], PRIMARIES[2]] as const),
      [
        [HUGE, 1],
        [1, 1],
        [-HUGE, 1],
      ],
      [[0.3, TINY], PRIMARIES[1], PRIMARIES[2]],
    ]),
    ...refused<tone.Chromaticity>(
      RANGE,
      (white) => tone.luminanceRowFromPrimaries(PRIMARIES, white),
      [...NONE.map((bad) => [bad, 0.3] as const), [0.3, 0]],
    ),
  ],
  relativeLuminance: [
    ...refused<tone.LinearRgb>(RANGE, (rgb) => tone.relativeLuminance(rgb), [
      ...NONE.map((bad) => [0, bad, 0] as const),
    ]),
    ...refused<tone.LuminanceRow>(RANGE, (row) => tone.relativeLuminance([1, 1, 1], row), [
      ...NONE.map((bad) => [0, bad, 0] as const),
      [HUGE, HUGE, HUGE],
    ]),
    gives(0, () => tone.relativeLuminance([0, 0, 0])),
  ],
  // Meters and sensors
  luminanceFromSettings: [
    ...refused(RANGE, (settings) => tone.luminanceFromSettings(settings), [
      ...BAD_SETTINGS,
      { ...SETTINGS, aperture: HUGE },
      { ...SETTINGS, aperture: TINY },
    ]),
    ...refused(RANGE, (k) => tone.luminanceFromSettings(SETTINGS, k), NOT_ABOVE_ZERO),
  ],
  illuminanceFromSettings: [
    ...refused(RANGE, (settings) => tone.illuminanceFromSettings(settings), [
      ...BAD_SETTINGS,
      { ...SETTINGS, iso: HUGE, shutterSeconds: HUGE },
    ]),
    ...refused(RANGE, (c) => tone.illuminanceFromSettings(SETTINGS, c), NOT_ABOVE_ZERO),
  ],
  exposureValueFromLuminance: [
    ...refused(RANGE, (value) => tone.exposureValueFromLuminance(value), [...NOT_ABOVE_ZERO, HUGE]),
    ...refused(RANGE, (iso) => tone.exposureValueFromLuminance(1, iso), NOT_ABOVE_ZERO),
    ...refused(RANGE, (k) => tone.exposureValueFromLuminance(1, 100, k), [...NOT_ABOVE_ZERO, TINY]),
  ],
  exposureValueFromIlluminance: [
    ...refused(RANGE, (value) => tone.exposureValueFromIlluminance(value), [
      ...NOT_ABOVE_ZERO,
      HUGE,
    ]),
    ...refused(RANGE, (iso) => tone.exposureValueFromIlluminance(1, iso), NOT_ABOVE_ZERO),
    ...refused(RANGE, (c) => tone.exposureValueFromIlluminance(1, 100, c), [
      ...NOT_ABOVE_ZERO,
      TINY,
    ]),
  ],
  luminanceFromExposureValue: [
    ...refused(RANGE, (ev) => tone.luminanceFromExposureValue(ev), [...NONE, 1e5, -1e5]),
    ...refused(RANGE, (k) => tone.luminanceFromExposureValue(1, k), NOT_ABOVE_ZERO),
  ],
  illuminanceFromExposureValue: [
    ...refused(RANGE, (ev) => tone.illuminanceFromExposureValue(ev), [...NONE, 1e5, -1e5]),
    ...refused(RANGE, (c) => tone.illuminanceFromExposureValue(1, c), NOT_ABOVE_ZERO),
  ],
  impliedReflectance: [
    ...refused(RANGE, (k) => tone.impliedReflectance(k), [...NOT_ABOVE_ZERO, HUGE]),
    ...refused(RANGE, (c) => tone.impliedReflectance(12.5, c), [...NOT_ABOVE_ZERO, TINY]),
  ],
  lensFactor: refused(RANGE, tone.lensFactor, [
    ...spoilt({ transmittance: 0.9, vignetting: 0.9, angleDegrees: 10 }, NONE),
    ...[0, -1, 1.1].flatMap((bad) => [
      { transmittance: bad, vignetting: 1, angleDegrees: 0 },
      { transmittance: 1, vignetting: bad, angleDegrees: 0 },
    ]),
    ...[90, -90, 360].map((angleDegrees) => ({ transmittance: 1, vignetting: 1, angleDegrees })),
  ]),
  focalPlaneExposure: [
    ...refused(RANGE, (value) => tone.focalPlaneExposure(value, LIGHT_SETTINGS), [
      ...NOT_ABOVE_ZERO,
      TINY,
    ]),
    ...refused(
      RANGE,
      (settings) => tone.focalPlaneExposure(1, settings),
      spoilt(LIGHT_SETTINGS, NOT_ABOVE_ZERO),
    ),
    ...refused(RANGE, (q) => tone.focalPlaneExposure(1, LIGHT_SETTINGS, q), NOT_ABOVE_ZERO),
  ],
  saturationSpeed: refused(RANGE, tone.saturationSpeed, [...NOT_ABOVE_ZERO, TINY]),
  exposureIndex: refused(RANGE, tone.exposureIndex, [...NOT_ABOVE_ZERO, TINY]),
  saturationLuminance: [
    ...refused(RANGE, (ev) => tone.saturationLuminance(ev), [...NONE, 1e5, -1e5]),
    ...refused(RANGE, (q) => tone.saturationLuminance(1, q), [...NOT_ABOVE_ZERO, TINY]),
  ],
  meteredShareOfSaturation: [
    ...refused(RANGE, (k) => tone.meteredShareOfSaturation(k), NOT_ABOVE_ZERO),
    ...refused(RANGE, (q) => tone.meteredShareOfSaturation(HUGE, q), [...NOT_ABOVE_ZERO, HUGE]),
  ],
  // Placements and regions
  parsePlacement: [
    ...refused<number | string | tone.StopRange>(PLACEMENT, tone.parsePlacement, [
      ...NONE,
      11,
      "",
      " ",
      "..",
      "1..2..3",
      "1..",
      "36",
      "0%",
      "zone 11",
      "1/0",
      "9".repeat(400),
      { from: Number.NaN, to: 1 },
      { from: 0, to: Infinity },
    ]),
    ...refused(UNKNOWN, tone.parsePlacement, ["x".repeat(1e5), "constructor"]),
    gives([-1, 2], () => {
      const { from, to } = tone.parsePlacement("2..-1");
      return [from, to];
    }),
  ],
  storedFromUpright: [
    ...refused(RANGE, (point) => tone.storedFromUpright(point, 1), BAD_POINTS),
    ...refused(RANGE, (turn) => tone.storedFromUpright({ x: 0, y: 0 }, turn), BAD_ORIENTATIONS),
  ],
  uprightFromStored: [
    ...refused(RANGE, (point) => tone.uprightFromStored(point, 6), BAD_POINTS),
    ...refused(RANGE, (turn) => tone.uprightFromStored({ x: 0, y: 0 }, turn), BAD_ORIENTATIONS),
  ],
  swapsSides: refused(RANGE, tone.swapsSides, BAD_ORIENTATIONS),
  parseRegion: refused(REGION, tone.parseRegion, [
    "",
    ":",
    "box",
    "box:",
    "box:,,,",
    "box:0,0,0,1",
    "box:0,0,1",
    "box:0,0,1,1,1",
    "box:NaN,0,1,1",
    "box:0,0,Infinity,1",
    "box:0,0,1e999,1",
    "box:0.5,0.5,0.6,0.1",
    "circle:0.5,0.5,-0.1",
    "disc:0.5,0.5",
    "polygon:0,0 1,1",
    "constructor:1",
    "\0",
    `polygon:${"0.5,0.5 ".repeat(200_000)}`,
    "x".repeat(1e5),
  ]),
  regionText: refused(REGION, tone.regionText, BAD_REGIONS),
  rasteriseRegion: [
    ...refused(REGION, (region) => tone.rasteriseRegion(region, UPRIGHT), BAD_REGIONS),
    ...refused(RANGE, (raster) => tone.rasteriseRegion({ shape: "whole" }, raster), [
      ...NOT_COUNTS.flatMap((bad) => [
        { ...UPRIGHT, width: bad },
        { ...UPRIGHT, height: bad },
      ]),
      { ...UPRIGHT, width: 2 ** 31 },
      { ...UPRIGHT, height: 2 ** 31 },
      ...BAD_ORIENTATIONS.map((orientation) => ({ ...UPRIGHT, orientation })),
    ]),
    gives(0, () => tone.rasteriseRegion({ shape: "whole" }, { ...UPRIGHT, height: 0 }).length),
    gives(
      0,
      () => tone.rasteriseRegion({ shape: "box", x: 5, y: 5, width: 1, height: 1 }, UPRIGHT).length,
    ),
    gives(
      0,
      () => tone.rasteriseRegion({ shape: "circle", x: 0.5, y: 0.5, radius: 0 }, UPRIGHT).length,
    ),
  ],
  spanPixels: [
    ...refused(RANGE, tone.spanPixels, [
      Int32Array.of(0),
      Int32Array.of(0, 0),
      Int32Array.of(0, 0, 2, 1, 0),
      Int32Array.of(0, 2, 1),
    ]),
    gives(0, () => tone.spanPixels(NO_PIXELS)),
  ],
  // Response
  responseCurve: [
    ...refused<readonly tone.ResponsePoint[]>(RANGE, tone.responseCurve, [
      [],
      [{ code: 64, stops: 0 }],
      ...[...NONE, 0, -1, 256].map((code) => [
        { code: 1, stops: -1 },
        { code, stops: 0 },
      ]),
      ...NONE.map((stops) => [
        { code: 64, stops: -1 },
        { code: 128, stops },
      ]),
      [
        { code: 64, stops: 0 },
        { code: 64, stops: 1 },
      ],
      [
        { code: 64, stops: 0 },
        { code: 128, stops: 0 },
      ],
      [
        { code: 64, stops: -HUGE },
        { code: 128, stops: HUGE },
      ],
      ...[...NONE, -1].map((uncertainty) => [
        { code: 64, stops: -1 },
        { code: 128, stops: 0, uncertainty },
      ]),
    ]),
    ...refused(RANGE, CURVE.stopsAt, NONE),
    ...refused(RANGE, CURVE.codeAt, NONE),
    ...refused(RANGE, CURVE.uncertaintyAt, NONE),
    gives(CURVE.stopsAt(0.5), () => CURVE.stopsAt(0)),
    gives(0, () => CURVE.codeAt(-HUGE)),
    gives(255, () => CURVE.codeAt(HUGE)),
    gives(0, () => CURVE.uncertaintyAt(300)),
  ],
  recoverResponse: [
    ...refused(EMPTY, tone.recoverResponse, [
      { ...BRACKET, places: [] },
      { ...BRACKET, places: BRACKET.places.slice(0, 7) },
      { ...BRACKET, places: BRACKET.places.map((seen) => seen.slice(0, 1)) },
    ]),
    ...refused(RANGE, tone.recoverResponse, [
      ...[...NOT_COUNTS, 2].map((frame) => observed({ frame })),
      ...[...NONE, -1, 256].map((code) => observed({ code })),
      ...[...NONE, -1, 256].map((codeError) => observed({ codeError })),
      ...NONE.map((bad) => ({ ...BRACKET, exposures: [0, bad] })),
      { ...BRACKET, exposures: [] },
      { ...BRACKET, exposures: [1, 1] },
      ...NOT_ABOVE_ZERO.map((exposureError) => ({ ...BRACKET, exposureError })),
      ...[...NONE, -1, 256].map((middleCode) => ({ ...BRACKET, middleCode })),
      {
        ...BRACKET,
        places: BRACKET.places.map((seen) => seen.map((one) => ({ ...one, code: 128 }))),
      },
      ...NONE.map((bad) => ({ ...BRACKET, encodedStops: () => bad })),
      { ...BRACKET, encodedStops: (code: number) => -code },
      {
        ...BRACKET,
        invert: (matrix: number[][]) => matrix.map((row) => row.map(() => Number.NaN)),
      },
      { ...BRACKET, invert: () => [] },
    ]),
  ],
  // Scales
  lightness: [
    ...refused(RANGE, tone.lightness, [...NONE, -TINY]),
    gives(0, () => tone.lightness(0)),
  ],
  luminanceFromLightness: [
    ...refused(RANGE, tone.luminanceFromLightness, [...NONE, -TINY, HUGE]),
    gives(0, () => tone.luminanceFromLightness(0)),
  ],
  toneFromStops: refused(RANGE, tone.toneFromStops, [...NONE, 1e5, -1e5, HUGE]),
  toneFromReflectance: refused(RANGE, tone.toneFromReflectance, [...NOT_ABOVE_ZERO, HUGE]),
  toneFromDensity: refused(RANGE, tone.toneFromDensity, [...NONE, 1e5, -1e5]),
  toneFromLightness: refused(RANGE, tone.toneFromLightness, [...NOT_ABOVE_ZERO, HUGE]),
  toneFromZone: refused(RANGE, tone.toneFromZone, [...NONE, 1e5, -1e5]),
  toneFromSrgbCode: [
    ...refused(RANGE, tone.toneFromSrgbCode, [...NOT_ABOVE_ZERO, 255.1]),
    gives("VII", () => tone.toneFromSrgbCode(255).zoneName),
  ],
  zoneFromStops: refused(RANGE, tone.zoneFromStops, NONE),
  stopsFromZone: refused(RANGE, tone.stopsFromZone, NONE),
  zoneName: [
    ...refused(RANGE, tone.zoneName, NONE),
    gives("X", () => tone.zoneName(HUGE)),
    gives("0", () => tone.zoneName(-HUGE)),
  ],
  zoneFromName: ["", " ", "XI", "IIX", "-1", "5", "constructor", "x".repeat(1e5)].map((name) =>
    gives(null, () => tone.zoneFromName(name)),
  ),
  // Values and stops
  quantile: [
    ...refused(EMPTY, (share) => tone.quantile([], share), [0, 0.5, 1]),
    ...refused(RANGE, (share) => tone.quantile([1], share), [...NONE, -0.1, 1.1]),
    ...refused(RANGE, (value) => tone.quantile([1, value], 0), NONE),
    gives(HUGE, () => tone.quantile([HUGE, HUGE], 0.5)),
    gives(7, () => tone.quantile([7], 0.5)),
  ],
  median: [
    ...refused(EMPTY, tone.median, [[]]),
    ...refused(RANGE, (value) => tone.median([1, value]), NONE),
    gives(0, () => tone.median([HUGE, -HUGE])),
  ],
  parseStops: refused(STOPS, tone.parseStops, [
    "",
    " ",
    "+",
    ".",
    "1/0",
    "0/0",
    "1 2",
    "NaN",
    "Infinity",
    "1e3",
    "\0",
    "9".repeat(400),
    `1/${"0".repeat(1e5)}`,
    " ".repeat(1e5),
  ]),
  roundToThirds: [
    ...refused(RANGE, tone.roundToThirds, [...NONE, HUGE]),
    gives(0, () => tone.roundToThirds(-0.1)),
  ],
  speakStops: [
    ...refused(RANGE, (stops) => tone.speakStops(stops), [...NONE, HUGE, -HUGE]),
    gives("no difference", () => tone.speakStops(-0)),
  ],
  stopsBetween: [
    ...refused(RANGE, (value) => tone.stopsBetween(value), NOT_ABOVE_ZERO),
    ...refused(RANGE, (reference) => tone.stopsBetween(1, reference), NOT_ABOVE_ZERO),
    [() => tone.stopsBetween(HUGE, 0.1), RANGE],
    [() => tone.stopsBetween(TINY, 10), RANGE],
  ],
  luminanceAtStops: [
    ...refused(RANGE, (stops) => tone.luminanceAtStops(stops), [...NONE, 1e5, -1e5]),
    ...refused(RANGE, (reference) => tone.luminanceAtStops(1, reference), [
      ...NOT_ABOVE_ZERO,
      HUGE,
    ]),
  ],
  // Words
  nearestWord: [
    gives(null, () => tone.nearestWord("", [])),
    gives(null, () => tone.nearestWord("", ["snow"])),
    gives(null, () => tone.nearestWord("x".repeat(1e5), ["snow"])),
    gives("snow", () => tone.nearestWord("snow", ["snow"])),
  ],
  // Transfers
  gammaTransfer: [
    ...refused(RANGE, tone.gammaTransfer, [...NOT_ABOVE_ZERO, TINY]),
    ...transferEdges(tone.gammaTransfer(2.2)),
  ],
  parametricTransfer: [
    ...refused(RANGE, (type) => tone.parametricTransfer(type, [2]), [...NOT_COUNTS, 5, 1]),
    ...refused(RANGE, (parameters: number[]) => tone.parametricTransfer(0, parameters), [
      [],
      [1, 2],
      ...NONE.map((bad) => [bad]),
      [0],
      [-1],
    ]),
    gives(0, () =>
      tone.parametricTransfer(4, [1, HUGE, -HUGE, HUGE, 1, HUGE, -HUGE]).linearise(0.5),
    ),
    ...transferEdges(tone.parametricTransfer(0, [2])),
  ],
  tabulatedTransfer: [
    ...refused(EMPTY, tone.tabulatedTransfer, [[], [1]]),
    ...refused(RANGE, tone.tabulatedTransfer, [
      ...NONE.map((bad) => [0, bad, 1]),
      [0, 1.1],
      [-0.1, 1],
      [1, 0],
      [0.5, 0.5],
    ]),
    ...transferEdges(tone.tabulatedTransfer([0, 0.25, 1])),
  ],
  transferTable: [
    ...refused(RANGE, (codes) => tone.transferTable(tone.SRGB, codes), [
      ...NOT_COUNTS,
      0,
      1,
      65537,
    ]),
    ...refused(RANGE, (bad) => tone.transferTable({ ...tone.SRGB, linearise: () => bad }, 2), [
      ...NONE,
      1.1,
      -0.1,
    ]),
    gives([0, 1], () => Array.from(tone.transferTable(tone.SRGB, 2))),
  ],
  ...Object.fromEntries(
    ["SRGB", "DISPLAY_P3", "ADOBE_RGB", "PROPHOTO", "LINEAR", "REC709_CAMERA"].map((name, i) => [
      name,
      transferEdges(TRANSFERS[i] as tone.TransferFunction),
    ]),
  ),
  // Verdicts
  codeQuantumStops: [
    ...refused(RANGE, (value) => tone.codeQuantumStops(value, tone.SRGB), [...NOT_ABOVE_ZERO, 1.1]),
    ...refused(RANGE, (bits) => tone.codeQuantumStops(0.18, tone.SRGB, bits), [
      ...NOT_COUNTS,
      0,
      1,
      17,
    ]),
    ...refused(RANGE, (value) => tone.codeQuantumStops(value, tone.gammaTransfer(2)), [TINY]),
  ],
  errorUncertainty: [
    ...refused(
      UNKNOWN,
      (kit) => tone.errorUncertainty({ kit: kit as tone.Kit, stopsFromMiddle: 0 }),
      ["", "film", "constructor", "__proto__"],
    ),
    ...refused(
      RANGE,
      (stopsFromMiddle) => tone.errorUncertainty({ kit: "raw", stopsFromMiddle }),
      NONE,
    ),
    ...refused(
      RANGE,
      (regionNoise) => tone.errorUncertainty({ kit: "raw", stopsFromMiddle: 0, regionNoise }),
      [...NONE, -0.1],
    ),
    [() => tone.errorUncertainty({ kit: "card", stopsFromMiddle: HUGE, regionNoise: HUGE }), RANGE],
  ],
  sceneLight: [
    ...refused(RANGE, tone.sceneLight, [...NONE, HUGE]),
    gives("at least", () => tone.sceneLight(2.2).bound),
    gives(null, () => tone.sceneLight(tone.SHOULDER_STOPS).bound),
  ],
  sceneLightBy: [
    ...refused(RANGE, (knots: tone.SceneLightKnot[]) => tone.sceneLightBy(knots, 0), [
      [],
      [[0, 0, 1]],
    ]),
    gives(
      1,
      () =>
        tone.sceneLightBy(
          [
            [0, 0, 1],
            [1, 2, 1],
          ],
          0.5,
        ).stops,
    ),
  ],
  renderedOfLight: [
    ...refused(RANGE, tone.renderedOfLight, [...NONE, -HUGE]),
    gives(-2, () => tone.sceneLight(tone.renderedOfLight(-2)).stops),
  ],
  // As the functions of the language that they stand for, which answer for every double.
  log2: [gives(-1074, () => tone.log2(TINY)), ...like(tone.log2, Math.log2, [...NONE, 0, -1])],
  naturalLog: [
    gives(0, () => tone.naturalLog(1)),
    ...like(tone.naturalLog, Math.log, [...NONE, 0, -1]),
  ],
  exp2: [gives(1, () => tone.exp2(0)), ...like(tone.exp2, (x) => 2 ** x, [...NONE, HUGE, -HUGE])],
  power: [
    gives(9, () => tone.power(3, 2)),
    ...like(
      (x) => tone.power(x, 0),
      () => 1,
      [...NONE, 0],
    ),
  ],
  powersOf: [
    gives(9, () => tone.powersOf(3)(2)),
    ...like(
      (x) => tone.powersOf(x)(0),
      () => 1,
      [...NONE, 0],
    ),
    ...like(
      (x) => tone.powersOf(x)(2),
      (x) => tone.power(x, 2),
      [...NONE, HUGE, 0],
    ),
  ],
  squared: [gives(9, () => tone.squared(-3)), ...like(tone.squared, (x) => x * x, [...NONE, HUGE])],
  hypot: [gives(5, () => tone.hypot(3, 4)), gives(0, () => tone.hypot())],
  cosine: [gives(1, () => tone.cosine(0)), ...like(tone.cosine, Math.cos, NONE)],
  shownText: [
    gives("", () => tone.shownText("")),
    gives(219, () => tone.shownText("x".repeat(5000)).length),
  ],
  cutText: [gives("", () => tone.cutText("", 0)), gives("…", () => tone.cutText("grey", 0))],
  renderedUncertainty: [
    ...refused(RANGE, tone.renderedUncertainty, [...NONE, -0.1]),
    gives(tone.RENDERED_MEASURING, () => tone.renderedUncertainty(0)),
  ],
  samplingUncertainty: refused(RANGE, tone.samplingUncertainty, NOT_ABOVE_ZERO),
  exposureError: [
    ...refused(RANGE, (fall) => tone.exposureError(fall, { from: 0, to: 1 }), NONE),
    ...refused(RANGE, (placement) => tone.exposureError(0, placement), [
      ...spoilt({ from: 0, to: 1 }, NONE),
      { from: 1, to: 0 },
    ]),
    [() => tone.exposureError(HUGE, { from: -HUGE, to: -HUGE }), RANGE],
    gives(0, () => tone.exposureError(1, { from: 1, to: 1 })),
  ],
  verdict: [
    ...refused(RANGE, tone.verdict, [
      ...spoilt({ error: 0, uncertainty: 1, tolerance: 1 }, NONE),
      { error: 0, uncertainty: -1, tolerance: 1 },
      { error: 0, uncertainty: 1, tolerance: 0 },
    ]),
    ...refused(
      UNKNOWN,
      (bound) =>
        tone.verdict({ error: 0, uncertainty: 1, tolerance: 1, bound: bound as tone.Bound }),
      ["", "about"],
    ),
    gives({ verdict: "over", probabilityWithin: 0 }, () =>
      tone.verdict({ error: HUGE, uncertainty: TINY, tolerance: TINY }),
    ),
    gives("undecided", () => tone.verdict({ error: 1, uncertainty: HUGE, tolerance: 1 }).verdict),
    gives({ verdict: "within", probabilityWithin: 1 }, () =>
      tone.verdict({ error: -1, uncertainty: 0, tolerance: HUGE }),
    ),
  ],
};

function total(counts: readonly number[] | undefined): number | undefined {
  return counts?.reduce((sum, count) => sum + count, 0);
}

/** Whether a number that is none stands anywhere in a value. */
function holdsNone(value: unknown): boolean {
  if (typeof value === "number") return !Number.isFinite(value);
  return typeof value === "object" && value !== null && Object.values(value).some(holdsNone);
}

test("every export has its edges listed, or is data or a class", () => {
  const listed = [...Object.keys(EDGES), ...DATA, "ToneError"].sort();
  expect(Object.keys(tone).sort()).toEqual(listed);
});

test("data are finite, and no functions", () => {
  for (const name of DATA) {
    const value: unknown = Object.entries(tone).find(([key]) => key === name)?.[1];
    expect([name, typeof value === "function", holdsNone(value)]).toEqual([name, false, false]);
  }
});

describe.each(Object.entries(EDGES))("%s at its edges", (_, edges) => {
  test("is held to something", () => expect(edges.length).toBeGreaterThan(0));

  test.each(edges.map(([call, outcome], i) => [i, call, outcome] as const))(
    "%i",
    (_i, call, outcome) => {
      if (typeof outcome === "string") {
        expect(call).toThrow(tone.ToneError);
        expect(call).toThrow(expect.objectContaining({ code: outcome }));
      } else {
        const value = call();
        expect(value).toEqual(outcome.value);
        expect(holdsNone(value)).toBe(false);
      }
    },
  );
});
