import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { recordedTags } from "../../test/recordedTags.ts";
import type { Field } from "../exposureRecord.ts";
import { aperture } from "./aperture.ts";
import { brightnessValue } from "./brightnessValue.ts";
import { compensation } from "./compensation.ts";
import { focalLength, focalLength35mm } from "./focalLength.ts";
import { orientation } from "./orientation.ts";
import { pixelHeight, pixelWidth } from "./pixelSize.ts";
import { shutter } from "./shutter.ts";

/** The value, or the reason for its absence. */
function outcome<T>(field: Field<T>): T | string {
  return "reason" in field ? field.reason : field.value;
}

describe("aperture(tags)", () => {
  test.each([
    ["28/10", 2.8],
    ["8", 8],
    ["0/1", "zero"],
    ["0/0", "zero-denominator"],
    ["28/0", "zero-denominator"],
    ["-28/10", "negative"],
    ["29/100", "absurd"],
    ["3/10", 0.3],
    ["512", 512],
    ["513", "absurd"],
  ])("reads FNumber %s as %s", (recorded, expected) => {
    expect(outcome(aperture(recordedTags({ FNumber: recorded })))).toBe(expected);
  });

  test("is absent where neither tag is", () => {
    expect(aperture(recordedTags({}))).toEqual({ value: null, reason: "absent" });
  });

  // N = 2^(Av/2): the table of APEX values that the standard gives [EXIF, APEX]
  test.each([
    ["0", 1],
    ["1", Math.SQRT2],
    ["2", 2],
    ["4", 4],
    ["10", 32],
  ])("takes ApertureValue %s as f/%s", (av, expected) => {
    const field = aperture(recordedTags({ ApertureValue: av }));
    expect(field).toMatchObject({ from: "Exif ApertureValue", found: av });
    expect(field.value).toBeCloseTo(expected, 12);
  });

  test("prefers FNumber, and keeps its reason where the APEX value cannot help", () => {
    expect(outcome(aperture(recordedTags({ FNumber: "56/10", ApertureValue: "5" })))).toBe(5.6);
    expect(outcome(aperture(recordedTags({ FNumber: "0/0", ApertureValue: "0/0" })))).toBe(
      "zero-denominator",
    );
  });

  test("takes an APEX value of 0 beside an unusable FNumber for the same blank", () => {
    expect(outcome(aperture(recordedTags({ FNumber: "0", ApertureValue: "0" })))).toBe("zero");
    expect(outcome(aperture(recordedTags({ FNumber: "0", ApertureValue: "4" })))).toBe(4);
  });

  test("refuses an APEX value that leads outside the limits", () => {
    expect(outcome(aperture(recordedTags({ ApertureValue: "19" })))).toBe("absurd");
    expect(outcome(aperture(recordedTags({ ApertureValue: "4000" })))).toBe("absurd");
  });
});

describe("shutter(tags)", () => {
  test.each([
    ["1/60", 1 / 60],
    ["30", 30],
    ["0/1", "zero"],
    ["0/0", "zero-denominator"],
    ["1/0", "zero-denominator"],
    ["-1/60", "negative"],
    ["1/100000000", "absurd"],
    ["4294967295/1", "absurd"],
  ])("reads ExposureTime %s as %s", (recorded, expected) => {
    expect(outcome(shutter(recordedTags({ ExposureTime: recorded })))).toBe(expected);
  });

  // t = 2^-Tv [EXIF, APEX]
  test.each([
    ["-5", 32],
    ["0", 1],
    ["6", 1 / 64],
    ["11", 1 / 2048],
  ])("takes ShutterSpeedValue %s as %s s", (tv, expected) => {
    expect(outcome(shutter(recordedTags({ ShutterSpeedValue: tv })))).toBe(expected);
  });
});

describe("compensation(tags)", () => {
  test.each([
    ["0/1", 0],
    ["-0/3", 0],
    ["-2/3", -2 / 3],
    ["5/1", 5],
    ["0/0", "zero-denominator"],
    ["154/10", "absurd"],
    ["-16", "absurd"],
  ])("reads %s as %s", (recorded, expected) => {
    expect(outcome(compensation(recordedTags({ ExposureBiasValue: recorded })))).toBe(expected);
  });
});

describe("brightnessValue(tags)", () => {
  test.each([
    ["-100/100", -1],
    ["0/1", 0],
    ["-1/1", "unknown"],
    ["4294967295/100", "unknown"],
    ["0/0", "zero-denominator"],
    ["31", "absurd"],
    ["-31", "absurd"],
  ])("reads %s as %s", (recorded, expected) => {
    expect(outcome(brightnessValue(recordedTags({ BrightnessValue: recorded })))).toBe(expected);
  });
});

test.each([
  ["FocalLength", focalLength, "0", "zero"],
  ["FocalLength", focalLength, "853/40", 21.325],
  ["FocalLengthIn35mmFilm", focalLength35mm, "0", "unknown"],
  ["FocalLengthIn35mmFilm", focalLength35mm, "28", 28],
  ["Orientation", orientation, "0", "zero"],
  ["Orientation", orientation, "8", 8],
  ["Orientation", orientation, "9", "not-defined"],
  ["Orientation", orientation, "3/2", "wrong-type"],
  ["PixelXDimension", pixelWidth, "4032", 4032],
  ["ImageWidth", pixelWidth, "4000", 4000],
  ["PixelYDimension", pixelHeight, "0", "zero"],
  ["ImageLength", pixelHeight, "3000", 3000],
] as const)("%s: %o reads %s as %s", (tag, rule, recorded, expected) => {
  expect(outcome(rule(recordedTags({ [tag]: recorded })))).toBe(expected);
});

test("a quantity is finite and within its limits, or null with a reason", () => {
  const part = fc.integer({ min: -(2 ** 31), max: 2 ** 32 - 1 });
  let known = 0;
  fc.assert(
    fc.property(part, part, (numerator, denominator) => {
      const tags = recordedTags({ FNumber: `${numerator}/${denominator}` });
      const field = aperture(tags);
      if ("reason" in field) return;
      known++;
      expect(field.value).toBeGreaterThanOrEqual(0.3);
      expect(field.value).toBeLessThanOrEqual(512);
      expect(field.value).toBe(numerator / denominator);
    }),
    { seed: 1 },
  );
  expect(known).toBeGreaterThan(10);
});
