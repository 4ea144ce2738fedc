import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
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
} from "./apex.ts";

const apertures = fc.double({ min: 0.5, max: 64, noNaN: true });
const times = fc.double({ min: 1e-5, max: 1000, noNaN: true });
const speeds = fc.double({ min: 1, max: 1e6, noNaN: true });
const settings: fc.Arbitrary<Settings> = fc.record({
  aperture: apertures,
  shutterSeconds: times,
  iso: speeds,
});

describe("APEX values", () => {
  test.each([
    ["aperture", apertures, apertureValue, apertureFromValue],
    ["time", times, timeValue, secondsFromValue],
    ["speed", speeds, speedValue, isoFromValue],
    ["logarithmic speed", speeds, logarithmicSpeed, isoFromLogarithmicSpeed],
  ] as const)("of %s come back to what they were of", (_, values, there, back) => {
    fc.assert(
      fc.property(values, (value) => {
        expect(back(there(value)) / value).toBeCloseTo(1, 12);
      }),
    );
  });

  test.each([apertureValue, timeValue, speedValue, logarithmicSpeed])(
    "%o throws for what is no setting",
    (value) => {
      for (const bad of [0, -1, Number.NaN, Infinity]) {
        expect(() => value(bad)).toThrow(expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }));
      }
    },
  );

  test("timeValue(1) is 0 and not -0", () => {
    expect(Object.is(timeValue(1), 0)).toBe(true);
  });
});

describe("givenExposure", () => {
  test("has the sign of light: twice the time is one stop more, exposure value one less", () => {
    fc.assert(
      fc.property(settings, (set) => {
        const longer = { ...set, shutterSeconds: 2 * set.shutterSeconds };
        expect(givenExposure(longer) - givenExposure(set)).toBeCloseTo(1, 10);
        expect(exposureValue100(longer) - exposureValue100(set)).toBeCloseTo(-1, 10);
      }),
    );
  });

  test("is the same for settings that trade a stop of time for a stop of aperture", () => {
    fc.assert(
      fc.property(settings, (set) => {
        const traded = {
          ...set,
          aperture: set.aperture * Math.SQRT2,
          shutterSeconds: 2 * set.shutterSeconds,
        };
        expect(givenExposure(traded)).toBeCloseTo(givenExposure(set), 10);
      }),
    );
  });

  test("is log2(t / N^2) + log2(S / 100)", () => {
    expect(givenExposure({ aperture: 2, shutterSeconds: 1 / 8, iso: 400 })).toBe(-3);
  });
});

describe("brightness", () => {
  test("brightnessResidual is 0 when brightness and speed balance aperture and time", () => {
    fc.assert(
      fc.property(settings, (set) => {
        const brightness = exposureValue(set) - speedValue(set.iso);
        expect(brightnessResidual(brightness, set)).toBeCloseTo(0, 10);
      }),
    );
  });

  test("brightnessLuminance doubles with every step and throws for NaN", () => {
    expect(brightnessLuminance(3) / brightnessLuminance(2)).toBeCloseTo(2, 12);
    // K / 3.125 with the K of 12.5.
    expect(brightnessLuminance(0)).toBeCloseTo(4, 12);
    expect(brightnessLuminance(0, 14)).toBeCloseTo(4.48, 12);
    expect(() => brightnessLuminance(Number.NaN)).toThrow(/brightness value/);
  });
});
