import type { Settings } from "../apex/apex.ts";
import { INCIDENT_METER_C, REFLECTED_METER_K } from "../constants.ts";
import { exp2, log2, squared } from "../exact/exactMath.ts";
import { expectObject } from "../expectGiven.ts";
import { expectFinite, expectPositive } from "../expectNumber.ts";

/**
 * Luminance in cd/m² that a reflected-light meter would give these settings for, `L = K N^2 / (t S)`.
 *
 * @param k - meter constant, > 0
 * @defaultValue k is {@link REFLECTED_METER_K}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a result, that is not above zero and finite
 * @see [ISO2720]
 *
 * @example
 * ```ts
 * luminanceFromSettings({ aperture: 8, shutterSeconds: 1, iso: 100 }); // => 8
 * ```
 */
export function luminanceFromSettings(settings: Settings, k: number = REFLECTED_METER_K): number {
  return expectPositive(
    "luminance of these settings",
    expectPositive("meter constant K", k) * lightOverConstant(settings),
  );
}

/**
 * Illuminance in lx that an incident-light meter would give these settings for, `E = C N^2 / (t S)`.
 *
 * @param c - meter constant, > 0
 * @defaultValue c is {@link INCIDENT_METER_C}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a result, that is not above zero and finite
 * @see [ISO2720]
 *
 * @example
 * ```ts
 * illuminanceFromSettings({ aperture: 8, shutterSeconds: 1, iso: 100 }); // => 160
 * ```
 */
export function illuminanceFromSettings(settings: Settings, c: number = INCIDENT_METER_C): number {
  return expectPositive(
    "illuminance of these settings",
    expectPositive("meter constant C", c) * lightOverConstant(settings),
  );
}

/**
 * Exposure value (`Av + Tv`) that a reflected-light meter reads from a luminance, `log2(L S / K)`.
 *
 * @param luminance - cd/m², > 0
 * @param iso - arithmetic speed, > 0
 * @param k - meter constant, > 0
 * @defaultValue iso is 100, k is {@link REFLECTED_METER_K}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a ratio of them, that is not above zero and finite
 * @see [ISO2720]
 *
 * @example
 * ```ts
 * exposureValueFromLuminance(0.25); // => 1
 * ```
 */
export function exposureValueFromLuminance(
  luminance: number,
  iso: number = 100,
  k: number = REFLECTED_METER_K,
): number {
  return exposureValueOf("luminance", luminance, iso, k);
}

/**
 * Exposure value (`Av + Tv`) that an incident-light meter reads from an illuminance, `log2(E S / C)`.
 *
 * @param illuminance - lx, > 0
 * @param iso - arithmetic speed, > 0
 * @param c - meter constant, > 0
 * @defaultValue iso is 100, c is {@link INCIDENT_METER_C}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a ratio of them, that is not above zero and finite
 * @see [ISO2720]
 *
 * @example
 * ```ts
 * exposureValueFromIlluminance(5); // => 1
 * ```
 */
export function exposureValueFromIlluminance(
  illuminance: number,
  iso: number = 100,
  c: number = INCIDENT_METER_C,
): number {
  return exposureValueOf("illuminance", illuminance, iso, c);
}

/**
 * Luminance in cd/m² at an exposure value for ISO 100; the inverse of {@link exposureValueFromLuminance}.
 *
 * @param ev100 - any finite number
 * @param k - meter constant, > 0
 * @defaultValue k is {@link REFLECTED_METER_K}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the luminance is too high or too low for a double
 *
 * @example
 * ```ts
 * luminanceFromExposureValue(3); // => 1
 * ```
 */
export function luminanceFromExposureValue(ev100: number, k: number = REFLECTED_METER_K): number {
  return lightAt(ev100, k);
}

/**
 * Illuminance in lx at an exposure value for ISO 100; the inverse of {@link exposureValueFromIlluminance}.
 *
 * @param ev100 - any finite number
 * @param c - meter constant, > 0
 * @defaultValue c is {@link INCIDENT_METER_C}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the illuminance is too high or too low for a double
 *
 * @example
 * ```ts
 * illuminanceFromExposureValue(3); // => 20
 * ```
 */
export function illuminanceFromExposureValue(ev100: number, c: number = INCIDENT_METER_C): number {
  return lightAt(ev100, c);
}

/**
 * Reflectance at which a reflected and an incident reading agree, `pi K / C`, as a fraction.
 *
 * @param k - reflected-light meter constant, > 0
 * @param c - incident-light meter constant, > 0
 * @defaultValue k is {@link REFLECTED_METER_K}, c is {@link INCIDENT_METER_C}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a result, that is not above zero and finite
 * @see [REFLECTANCE]
 *
 * @example
 * ```ts
 * impliedReflectance().toFixed(3); // => "0.157"
 * ```
 */
export function impliedReflectance(
  k: number = REFLECTED_METER_K,
  c: number = INCIDENT_METER_C,
): number {
  return expectPositive(
    "implied reflectance",
    (Math.PI * expectPositive("meter constant K", k)) / expectPositive("meter constant C", c),
  );
}

function lightOverConstant(settings: Settings): number {
  expectObject("the settings", settings);
  return (
    squared(expectPositive("aperture", settings.aperture)) /
    (expectPositive("shutter time", settings.shutterSeconds) *
      expectPositive("ISO speed", settings.iso))
  );
}

function exposureValueOf(name: string, light: number, iso: number, constant: number): number {
  const ratio =
    (expectPositive(name, light) * expectPositive("ISO speed", iso)) /
    expectPositive("meter constant", constant);
  return log2(expectPositive(`${name} at this speed over the meter constant`, ratio));
}

function lightAt(ev100: number, constant: number): number {
  return expectPositive(
    "light at this exposure value",
    (expectPositive("meter constant", constant) * exp2(expectFinite("exposure value", ev100))) /
      100,
  );
}
