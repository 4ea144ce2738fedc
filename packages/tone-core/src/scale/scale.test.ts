import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { lightness, luminanceFromLightness } from "./lightness.ts";
import {
  toneFromDensity,
  toneFromLightness,
  toneFromReflectance,
  toneFromSrgbCode,
  toneFromStops,
  toneFromZone,
} from "./tone.ts";
import {
  stopsFromZone,
  ZONE_AT_DISPLAY_WHITE,
  ZONE_AT_SENSOR_SATURATION,
  ZONE_NAMES,
  zoneFromName,
  zoneFromStops,
  zoneName,
} from "./zone.ts";

const BAD = [Number.NaN, Infinity, -Infinity];

test("a plain rendering is white at zone 7.474, a sensor full at 7.963", () => {
  expect(ZONE_AT_DISPLAY_WHITE).toBeCloseTo(7.474, 3);
  expect(ZONE_AT_SENSOR_SATURATION).toBeCloseTo(7.963, 3);
});

describe("lightness", () => {
  test("and luminanceFromLightness are inverse, on both sides of the join", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 2, noNaN: true }), (y) => {
        expect(luminanceFromLightness(lightness(y))).toBeCloseTo(y, 12);
      }),
    );
    for (const y of [0.0087, (6 / 29) ** 3, 0.0089, 0.0095]) {
      expect(luminanceFromLightness(lightness(y))).toBeCloseTo(y, 12);
    }
    expect(lightness((6 / 29) ** 3)).toBeCloseTo(8, 12);
  });

  test("of 0 is 0, and rises", () => {
    expect(lightness(0)).toBe(0);
    expect(lightness(0.0088)).toBeLessThan(lightness(0.0089));
  });

  test.each([-0.1, ...BAD])("(%s) throws", (bad) => {
    expect(() => lightness(bad)).toThrow(/at least zero for luminance/);
    expect(() => luminanceFromLightness(bad)).toThrow(/at least zero for lightness/);
  });
});

describe("zones", () => {
  test("zoneName is V at middle grey and goes over half a stop away", () => {
    expect([-0.51, -0.49, 0, 0.49, 0.51].map(zoneName)).toEqual(["IV", "V", "V", "V", "VI"]);
  });

  test("zoneName ends at 0 and X", () => {
    expect(zoneName(-9)).toBe("0");
    expect(zoneName(9)).toBe("X");
  });

  test("numerals, zones and stops come back to themselves", () => {
    ZONE_NAMES.forEach((name, zone) => {
      expect(zoneFromName(name)).toBe(zone);
      expect(zoneFromName(name.toLowerCase())).toBe(zone);
      expect(zoneName(stopsFromZone(zone))).toBe(name);
      expect(zoneFromStops(stopsFromZone(zone))).toBe(zone);
    });
  });

  test.each(["", "XI", "IIII", "5"])("zoneFromName(%j) is null", (name) => {
    expect(zoneFromName(name)).toBeNull();
  });

  test.each(BAD)("zoneName(%s) throws", (bad) => {
    expect(() => zoneName(bad)).toThrow(expect.objectContaining({ code: "TONE_OUT_OF_RANGE" }));
  });
});

describe("a tone", () => {
  test("is the same tone from any of its views", () => {
    fc.assert(
      fc.property(fc.double({ min: -8, max: 2.4, noNaN: true }), (stops) => {
        const tone = toneFromStops(stops);
        const again = [
          toneFromReflectance(tone.reflectance),
          toneFromDensity(tone.density),
          toneFromLightness(tone.lightness),
          toneFromZone(tone.zone),
          toneFromSrgbCode(tone.srgbCode ?? Number.NaN),
        ];
        for (const other of again) expect(Math.abs(other.stops - stops)).toBeLessThan(1e-5);
      }),
    );
  });

  test("every view rises with its stops, density falls", () => {
    const stops = fc.double({ min: -8, max: 2.4, noNaN: true });
    fc.assert(
      fc.property(stops, stops, (a, b) => {
        fc.pre(Math.abs(a - b) > 1e-6);
        const [low, high] = [toneFromStops(Math.min(a, b)), toneFromStops(Math.max(a, b))];
        expect(high.reflectance).toBeGreaterThan(low.reflectance);
        expect(high.lightness).toBeGreaterThan(low.lightness);
        expect(high.zone).toBeGreaterThan(low.zone);
        expect(high.srgbCode).toBeGreaterThan(low.srgbCode as number);
        expect(high.density).toBeLessThan(low.density);
      }),
    );
  });

  test("above display white it has no sRGB code", () => {
    expect(toneFromStops(2.5).srgbCode).toBeNull();
    expect(toneFromStops(3).reflectance).toBeCloseTo(1.44, 12);
  });

  test("from a density of 0 is a perfect white, and not of density -0", () => {
    expect(Object.is(toneFromDensity(0).density, -0)).toBe(false);
    expect(toneFromDensity(0).srgbCode).toBeCloseTo(255, 9);
  });

  test.each([0, ...BAD])("from a reflectance, lightness or code of %s throws", (bad) => {
    const outOfRange = expect.objectContaining({ code: "TONE_OUT_OF_RANGE" });
    expect(() => toneFromReflectance(bad)).toThrow(outOfRange);
    expect(() => toneFromLightness(bad)).toThrow(outOfRange);
    expect(() => toneFromSrgbCode(bad)).toThrow(outOfRange);
  });

  test.each(BAD)("from stops, a zone or a density of %s throws", (bad) => {
    const outOfRange = expect.objectContaining({ code: "TONE_OUT_OF_RANGE" });
    expect(() => toneFromStops(bad)).toThrow(outOfRange);
    expect(() => toneFromZone(bad)).toThrow(outOfRange);
    expect(() => toneFromDensity(bad)).toThrow(outOfRange);
  });
});
