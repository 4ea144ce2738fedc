import { MIDDLE_GREY } from "../constants.ts";
import { log10, power } from "../exact/exactMath.ts";
import { expectFinite, expectPositive, expectUnit } from "../expectNumber.ts";
import { luminanceAtStops, stopsBetween } from "../stops/stopsBetween.ts";
import { SRGB } from "../transfer/namedTransfers.ts";
import { lightness, luminanceFromLightness } from "./lightness.ts";
import { stopsFromZone, type ZoneName, zoneFromStops, zoneName } from "./zone.ts";

/** One tone, seen on every scale that photographers use for it. */
export interface Tone {
  /** Stops from middle grey; positive is lighter. */
  readonly stops: number;
  /** Reflectance as a fraction: 0.18 is middle grey. Above 1 the tone is lighter than white paper could be. */
  readonly reflectance: number;
  /** Reflection density: -log10 of the reflectance. */
  readonly density: number;
  /** CIE L*: 100 is white. */
  readonly lightness: number;
  /** Zone, not rounded: 5 is middle grey. */
  readonly zone: number;
  /** Numeral of the nearest zone. */
  readonly zoneName: ZoneName;
  /** 8-bit sRGB code in [0, 255], not rounded; null when the tone is lighter than display white. */
  readonly srgbCode: number | null;
}

/**
 * A tone from its stops.
 *
 * @param stops - from middle grey; + is lighter
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN, infinities, and tones that no double holds the reflectance of
 *
 * @example
 * ```ts
 * toneFromStops(1).reflectance; // => 0.36
 * toneFromStops(0).srgbCode?.toFixed(1); // => "117.6"
 * ```
 */
export function toneFromStops(stops: number): Tone {
  const reflectance = luminanceAtStops(stops, MIDDLE_GREY);
  return {
    stops,
    reflectance,
    density: 0 - log10(reflectance),
    lightness: lightness(reflectance),
    zone: zoneFromStops(stops),
    zoneName: zoneName(stops),
    srgbCode: reflectance > 1 ? null : 255 * SRGB.encode(reflectance),
  };
}

/**
 * A tone from its reflectance.
 *
 * @param reflectance - as a fraction, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 *
 * @example
 * ```ts
 * toneFromReflectance(0.09).stops; // => -1
 * ```
 */
export function toneFromReflectance(reflectance: number): Tone {
  return toneFromStops(stopsBetween(expectPositive("reflectance", reflectance), MIDDLE_GREY));
}

/**
 * A tone from its reflection density.
 *
 * @param density - any finite number; 0 reflects everything
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN, infinities, and tones that no double holds the reflectance of
 *
 * @example
 * ```ts
 * toneFromDensity(1).reflectance.toFixed(6); // => "0.100000"
 * ```
 */
export function toneFromDensity(density: number): Tone {
  return toneFromReflectance(power(10, -expectFinite("density", density)));
}

/**
 * A tone from its CIE lightness.
 *
 * @param lightness - L*, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 *
 * @example
 * ```ts
 * toneFromLightness(100).reflectance.toFixed(6); // => "1.000000"
 * ```
 */
export function toneFromLightness(lightness: number): Tone {
  return toneFromReflectance(luminanceFromLightness(lightness));
}

/**
 * A tone from its zone.
 *
 * @param zone - any finite number; 5 is middle grey
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN, infinities, and tones that no double holds the reflectance of
 *
 * @example
 * ```ts
 * toneFromZone(7).reflectance; // => 0.72
 * ```
 */
export function toneFromZone(zone: number): Tone {
  return toneFromStops(stopsFromZone(zone));
}

/**
 * A tone from its 8-bit sRGB grey code.
 *
 * @param code - above 0 and at most 255; need not be whole
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`; code 0 is black, which is not a number of stops away
 *
 * @example
 * ```ts
 * toneFromSrgbCode(118).stops.toFixed(3); // => "0.009"
 * ```
 */
export function toneFromSrgbCode(code: number): Tone {
  return toneFromReflectance(SRGB.linearise(expectUnit("sRGB code over 255", code / 255)));
}
