import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { exposureValue, exposureValue100 } from "../apex/apex.ts";
import {
  exposureValueFromIlluminance,
  exposureValueFromLuminance,
  illuminanceFromExposureValue,
  illuminanceFromSettings,
  impliedReflectance,
  luminanceFromExposureValue,
  luminanceFromSettings,
} from "./exposureMeter.ts";

const settings = fc.record({
  aperture: fc.double({ min: 0.5, max: 64, noNaN: true }),
  shutterSeconds: fc.double({ min: 1e-5, max: 1000, noNaN: true }),
  iso: fc.double({ min: 1, max: 1e6, noNaN: true }),
});
const ev = fc.double({ min: -10, max: 25, noNaN: true });

describe("the meter equations", () => {
  test("read the settings back from the light that suits them", () => {
    fc.assert(
      fc.property(settings, (set) => {
        const luminance = luminanceFromSettings(set);
        const illuminance = illuminanceFromSettings(set);
        expect(exposureValueFromLuminance(luminance, set.iso)).toBeCloseTo(exposureValue(set), 9);
        expect(exposureValueFromIlluminance(illuminance)).toBeCloseTo(exposureValue100(set), 9);
      }),
    );
  });

  test("are inverse pairs at ISO 100", () => {
    fc.assert(
      fc.property(ev, (value) => {
        expect(exposureValueFromLuminance(luminanceFromExposureValue(value))).toBeCloseTo(value, 9);
        expect(exposureValueFromIlluminance(illuminanceFromExposureValue(value))).toBeCloseTo(
          value,
          9,
        );
      }),
    );
  });

  test("both meters agree on a surface of the implied reflectance", () => {
    const illuminance = illuminanceFromExposureValue(12);
    const luminance = (illuminance * impliedReflectance()) / Math.PI;
    expect(exposureValueFromLuminance(luminance)).toBeCloseTo(12, 10);
  });

  test.each([0, -1, Number.NaN, Infinity])("throw for light, speed or a constant of %s", (bad) => {
    const outOfRange = expect.objectContaining({ code: "TONE_OUT_OF_RANGE" });
    expect(() => exposureValueFromLuminance(bad)).toThrow(outOfRange);
    expect(() => exposureValueFromIlluminance(1, bad)).toThrow(outOfRange);
    expect(() => luminanceFromExposureValue(1, bad)).toThrow(outOfRange);
    expect(() => impliedReflectance(bad)).toThrow(outOfRange);
    expect(() => luminanceFromSettings({ aperture: bad, shutterSeconds: 1, iso: 100 })).toThrow(
      outOfRange,
    );
  });
});
