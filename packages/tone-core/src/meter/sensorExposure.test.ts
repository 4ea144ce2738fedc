import { describe, expect, test } from "vitest";
import { SENSOR_MIDDLE_GREY } from "../constants.ts";
import { stopsBetween } from "../stops/stopsBetween.ts";
import {
  exposureIndex,
  focalPlaneExposure,
  lensFactor,
  meteredShareOfSaturation,
  saturationLuminance,
  saturationSpeed,
} from "./sensorExposure.ts";

describe("sensor exposure", () => {
  test("saturationLuminance is the luminance whose exposure gives back the speed", () => {
    const settings = { aperture: 8, shutterSeconds: 1 / 64 }; // exposure value 12
    expect(saturationSpeed(focalPlaneExposure(saturationLuminance(12), settings))).toBeCloseTo(
      100,
      9,
    );
  });

  test("middle grey by the exposure index is 2.963 stops under saturation, 0.30 above a meter's", () => {
    expect(stopsBetween(SENSOR_MIDDLE_GREY, 1)).toBeCloseTo(-2.963, 3);
    expect(stopsBetween(SENSOR_MIDDLE_GREY, meteredShareOfSaturation())).toBeCloseTo(0.3, 2);
  });

  test("lensFactor falls with the fourth power of the cosine", () => {
    const at = (angleDegrees: number) =>
      lensFactor({ transmittance: 1, vignetting: 1, angleDegrees });
    expect(at(0)).toBeCloseTo(Math.PI / 4, 12);
    expect(at(60) / at(0)).toBeCloseTo(1 / 16, 12);
  });

  test("lensFactor of glass and edges that lose light is their share of it", () => {
    const whole = lensFactor({ transmittance: 1, vignetting: 1, angleDegrees: 0 });
    expect(lensFactor({ transmittance: 0.9, vignetting: 1, angleDegrees: 0 }) / whole).toBeCloseTo(
      0.9,
      12,
    );
    expect(lensFactor({ transmittance: 1, vignetting: 0.8, angleDegrees: 0 }) / whole).toBeCloseTo(
      0.8,
      12,
    );
  });

  test("exposureIndex is 10 over the metered exposure: 0.1 lx s is 100 [ISO12232]", () => {
    expect(exposureIndex(0.1)).toBeCloseTo(100, 12);
    expect(exposureIndex(0.05)).toBeCloseTo(200, 12);
  });

  test.each([0, -1, Number.NaN, Infinity])("throws for an exposure of %s", (bad) => {
    const outOfRange = expect.objectContaining({ code: "TONE_OUT_OF_RANGE" });
    expect(() => saturationSpeed(bad)).toThrow(outOfRange);
    expect(() => exposureIndex(bad)).toThrow(outOfRange);
    expect(() => focalPlaneExposure(bad, { aperture: 8, shutterSeconds: 1 })).toThrow(outOfRange);
    expect(() => saturationLuminance(0, bad)).toThrow(outOfRange);
  });
});
