import { expect, test } from "vitest";
import * as tone from "./index.ts";
import {
  apertureFromValue,
  apertureValue,
  brightnessLuminance,
  brightnessResidual,
  codeQuantumStops,
  errorUncertainty,
  exactCompensation,
  exactSettings,
  exposureError,
  exposureIndex,
  exposureValue100,
  exposureValueFromIlluminance,
  exposureValueFromLuminance,
  focalPlaneExposure,
  illuminanceFromSettings,
  impliedReflectance,
  isoFromLogarithmicSpeed,
  isoFromValue,
  lensFactor,
  logarithmicSpeed,
  luminanceAtStops,
  luminanceFromExposureValue,
  luminanceFromSettings,
  meteredShareOfSaturation,
  renderedUncertainty,
  roundToThirds,
  SRGB,
  saturationLuminance,
  saturationSpeed,
  secondsFromValue,
  speedValue,
  stopsBetween,
  stopsFromZone,
  timeValue,
  toneFromDensity,
  toneFromReflectance,
  verdict,
  zoneFromStops,
} from "./index.ts";

const NONE = Number.NaN;
const SETTINGS = { aperture: 8, shutterSeconds: 0.008, iso: 100 };

/** Calls with one number that is none, and what the refusal calls it: a caller must learn which of several it was. */
const REFUSALS: readonly (readonly [name: string, call: () => unknown])[] = [
  ["luminance", () => stopsBetween(NONE)],
  ["reference luminance", () => stopsBetween(0.18, NONE)],
  ["reference luminance", () => luminanceAtStops(1, NONE)],
  ["stops", () => luminanceAtStops(NONE)],
  ["stops", () => roundToThirds(NONE)],
  ["aperture", () => apertureValue(NONE)],
  ["aperture value", () => apertureFromValue(NONE)],
  ["shutter time", () => timeValue(NONE)],
  ["time value", () => secondsFromValue(NONE)],
  ["ISO speed", () => speedValue(NONE)],
  ["speed value", () => isoFromValue(NONE)],
  ["ISO speed", () => exposureValue100({ ...SETTINGS, iso: NONE })],
  ["brightness value", () => brightnessResidual(NONE, SETTINGS)],
  ["brightness value", () => brightnessLuminance(NONE)],
  ["meter constant K", () => brightnessLuminance(1, NONE)],
  ["ISO speed", () => logarithmicSpeed(NONE)],
  ["logarithmic speed", () => isoFromLogarithmicSpeed(NONE)],
  ["aperture", () => exactSettings({ ...SETTINGS, aperture: NONE })],
  ["shutter time", () => exactSettings({ ...SETTINGS, shutterSeconds: NONE })],
  ["ISO speed", () => exactSettings({ ...SETTINGS, iso: NONE })],
  ["compensation", () => exactCompensation(NONE)],
  ["aperture", () => luminanceFromSettings({ ...SETTINGS, aperture: NONE })],
  ["shutter time", () => luminanceFromSettings({ ...SETTINGS, shutterSeconds: NONE })],
  ["ISO speed", () => luminanceFromSettings({ ...SETTINGS, iso: NONE })],
  ["meter constant K", () => luminanceFromSettings(SETTINGS, NONE)],
  ["meter constant C", () => illuminanceFromSettings(SETTINGS, NONE)],
  ["luminance", () => exposureValueFromLuminance(NONE)],
  ["ISO speed", () => exposureValueFromLuminance(1, NONE)],
  ["meter constant", () => exposureValueFromLuminance(1, 100, NONE)],
  ["illuminance", () => exposureValueFromIlluminance(NONE)],
  ["exposure value", () => luminanceFromExposureValue(NONE)],
  ["meter constant", () => luminanceFromExposureValue(1, NONE)],
  ["meter constant K", () => impliedReflectance(NONE)],
  ["meter constant C", () => impliedReflectance(12.5, NONE)],
  ["angle", () => lensFactor({ transmittance: 1, vignetting: 1, angleDegrees: NONE })],
  ["transmittance", () => lensFactor({ transmittance: NONE, vignetting: 1, angleDegrees: 0 })],
  ["vignetting factor", () => lensFactor({ transmittance: 1, vignetting: NONE, angleDegrees: 0 })],
  ["luminance", () => focalPlaneExposure(NONE, SETTINGS)],
  ["lens factor", () => focalPlaneExposure(1, SETTINGS, NONE)],
  ["aperture", () => focalPlaneExposure(1, { ...SETTINGS, aperture: NONE })],
  ["shutter time", () => focalPlaneExposure(1, { ...SETTINGS, shutterSeconds: NONE })],
  ["saturating exposure", () => saturationSpeed(NONE)],
  ["metered exposure", () => exposureIndex(NONE)],
  ["exposure value", () => saturationLuminance(NONE)],
  ["lens factor", () => saturationLuminance(1, NONE)],
  ["meter constant K", () => meteredShareOfSaturation(NONE)],
  ["lens factor", () => meteredShareOfSaturation(12.5, NONE)],
  ["reflectance", () => toneFromReflectance(NONE)],
  ["density", () => toneFromDensity(NONE)],
  ["stops", () => zoneFromStops(NONE)],
  ["zone", () => stopsFromZone(NONE)],
  ["luminance", () => codeQuantumStops(NONE, SRGB)],
  ["luminance", () => codeQuantumStops(1.1, SRGB)],
  ["fall", () => exposureError(NONE, { from: 0, to: 0 })],
  ["placement", () => exposureError(0, { from: NONE, to: 0 })],
  ["placement", () => exposureError(0, { from: 0, to: NONE })],
  ["stops from middle grey", () => errorUncertainty({ kit: "raw", stopsFromMiddle: NONE })],
  ["region noise", () => errorUncertainty({ kit: "raw", stopsFromMiddle: 0, regionNoise: NONE })],
  ["code quantum", () => renderedUncertainty(NONE)],
  ["exposure error", () => verdict({ error: NONE, uncertainty: 1, tolerance: 1 })],
  ["uncertainty", () => verdict({ error: 0, uncertainty: NONE, tolerance: 1 })],
  ["tolerance", () => verdict({ error: 0, uncertainty: 1, tolerance: NONE })],
];

test.each(REFUSALS)("a number that is none is refused by its name: %s, %#", (name, call) => {
  expect(call).toThrow(
    expect.objectContaining({
      code: "TONE_OUT_OF_RANGE",
      message: expect.stringMatching(new RegExp(` for ${name} but received (?:NaN|1\\.1)$`)),
    }),
  );
});

/** What programs without types hand over by mistake. */
const ODD = [undefined, null, -1, 0.5, "x", [], [null], [{}], {}, true];

const functions = Object.entries(tone).filter(
  ([name, one]) => typeof one === "function" && name !== "ToneError",
) as unknown as readonly (readonly [string, (...given: readonly unknown[]) => unknown])[];

/** What a call throws; null where it answers. */
function thrownBy(call: () => unknown): unknown {
  try {
    call();
    return null;
  } catch (error) {
    return error;
  }
}

test.each(functions)("whatever is handed over, only a ToneError is thrown: %s", (_, call) => {
  const given = ODD.flatMap((first) => [[first], ...ODD.map((second) => [first, second, second])]);
  const thrown = given.map((args) => thrownBy(() => call(...args)));
  expect(thrown.filter((error) => error !== null && !(error instanceof tone.ToneError))).toEqual(
    [],
  );
});
