import { REFLECTED_METER_K, SPEED_AT_ZERO } from "../constants.ts";
import { exp2, log2, log10, power } from "../exact/exactMath.ts";
import { expectObject } from "../expectGiven.ts";
import { expectFinite, expectPositive } from "../expectNumber.ts";

/** What a camera was set to. */
export interface Settings {
  /** f-number, > 0. */
  readonly aperture: number;
  /** Exposure time in seconds, > 0. */
  readonly shutterSeconds: number;
  /** Arithmetic ISO speed, > 0. */
  readonly iso: number;
}

/**
 * APEX aperture value, `Av = 2 log2 N`.
 *
 * @param aperture - f-number, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 * @see [APEX]
 *
 * @example
 * ```ts
 * apertureValue(4); // => 4
 * ```
 */
export function apertureValue(aperture: number): number {
  return 2 * log2(expectPositive("aperture", aperture));
}

/**
 * f-number from an APEX aperture value; the inverse of {@link apertureValue}.
 *
 * @param value - Av, any finite number
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the f-number is too large or too small for a double
 *
 * @example
 * ```ts
 * apertureFromValue(6); // => 8
 * ```
 */
export function apertureFromValue(value: number): number {
  return expectPositive("aperture", exp2(expectFinite("aperture value", value) / 2));
}

/**
 * APEX time value, `Tv = -log2 t`.
 *
 * @param shutterSeconds - exposure time in seconds, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 * @see [APEX]
 *
 * @example
 * ```ts
 * timeValue(1 / 64); // => 6
 * ```
 */
export function timeValue(shutterSeconds: number): number {
  const value = -log2(expectPositive("shutter time", shutterSeconds));
  return value === 0 ? 0 : value;
}

/**
 * Exposure time in seconds from an APEX time value; the inverse of {@link timeValue}.
 *
 * @param value - Tv, any finite number
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the time is too long or too short for a double
 *
 * @example
 * ```ts
 * secondsFromValue(-1); // => 2
 * ```
 */
export function secondsFromValue(value: number): number {
  return expectPositive("shutter time", exp2(-expectFinite("time value", value)));
}

/**
 * APEX speed value, `Sv = log2(S / 3.125)`.
 *
 * @param iso - arithmetic speed, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 * @see [APEX] [EXIF]
 *
 * @example
 * ```ts
 * speedValue(100); // => 5
 * ```
 */
export function speedValue(iso: number): number {
  const ratio = expectPositive("ISO speed", iso) / SPEED_AT_ZERO;
  return log2(expectPositive("ISO speed over that at zero", ratio));
}

/**
 * Arithmetic ISO speed from an APEX speed value; the inverse of {@link speedValue}.
 *
 * @param value - Sv, any finite number
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the speed is too high or too low for a double
 *
 * @example
 * ```ts
 * isoFromValue(5); // => 100
 * ```
 */
export function isoFromValue(value: number): number {
  return expectPositive("ISO speed", SPEED_AT_ZERO * exp2(expectFinite("speed value", value)));
}

/**
 * Exposure value of aperture and time alone, `Ev = Av + Tv`. A higher value lets in less light.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 * @see [APEX]
 *
 * @example
 * ```ts
 * exposureValue({ aperture: 16, shutterSeconds: 1 / 128 }); // => 15
 * ```
 */
export function exposureValue(settings: Omit<Settings, "iso">): number {
  expectObject("the settings", settings);
  return apertureValue(settings.aperture) + timeValue(settings.shutterSeconds);
}

/**
 * Exposure value brought to ISO 100, `EV100 = Av + Tv - log2(S / 100)`: the light level the settings suit.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 *
 * @example
 * ```ts
 * exposureValue100({ aperture: 8, shutterSeconds: 1, iso: 400 }); // => 4
 * ```
 */
export function exposureValue100(settings: Settings): number {
  expectObject("the settings", settings);
  const ratio = expectPositive("ISO speed", settings.iso) / 100;
  return exposureValue(settings) - log2(expectPositive("ISO speed over 100", ratio));
}

/**
 * Given exposure in stops, `log2(t / N^2) + log2(S / 100)`: what the settings let in. More is brighter, so it is
 * {@link exposureValue100} with the sign turned.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 *
 * @example
 * ```ts
 * givenExposure({ aperture: 8, shutterSeconds: 2, iso: 100 }); // => -5
 * ```
 */
export function givenExposure(settings: Settings): number {
  return 0 - exposureValue100(settings);
}

/**
 * How far a recorded brightness stands from the settings, `Bv - (Av + Tv - Sv)`, in stops. Near zero when the camera
 * followed its meter; negative when it gave less exposure than it metered.
 *
 * @param brightnessValue - APEX Bv as the camera recorded it
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 * @see [APEX]
 *
 * @example
 * ```ts
 * brightnessResidual(8, { aperture: 8, shutterSeconds: 1 / 256, iso: 100 }); // => -1
 * ```
 */
export function brightnessResidual(brightnessValue: number, settings: Settings): number {
  expectObject("the settings", settings);
  return (
    expectFinite("brightness value", brightnessValue) -
    (exposureValue(settings) - speedValue(settings.iso))
  );
}

/**
 * Luminance in cd/m² that a brightness value stands for, `(K / 3.125) 2^Bv`: 4 cd/m² at zero with K = 12.5.
 *
 * Follows from `Av + Tv = Bv + Sv` and the reflected-light meter equation. The older reading in footlamberts gives
 * 3.426 cd/m² at zero, 0.22 stop lower; phones add offsets of their own.
 *
 * @param brightnessValue - APEX Bv
 * @param k - reflected-light meter constant, > 0
 * @defaultValue k is {@link REFLECTED_METER_K}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the luminance is too high or too low for a double
 *
 * @example
 * ```ts
 * brightnessLuminance(1); // => 8
 * ```
 */
export function brightnessLuminance(
  brightnessValue: number,
  k: number = REFLECTED_METER_K,
): number {
  return expectPositive(
    "luminance",
    (expectPositive("meter constant K", k) / SPEED_AT_ZERO) *
      exp2(expectFinite("brightness value", brightnessValue)),
  );
}

/**
 * Logarithmic speed in degrees from arithmetic speed, `10 log10 S + 1`, unrounded.
 *
 * @param iso - arithmetic speed, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 * @see [FILM-SPEED]
 *
 * @example
 * ```ts
 * logarithmicSpeed(100); // => 21
 * ```
 */
export function logarithmicSpeed(iso: number): number {
  return 10 * log10(expectPositive("ISO speed", iso)) + 1;
}

/**
 * Arithmetic speed from logarithmic speed; the inverse of {@link logarithmicSpeed}.
 *
 * @param degrees - any finite number
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the speed is too high or too low for a double
 *
 * @example
 * ```ts
 * isoFromLogarithmicSpeed(31); // => 1000
 * ```
 */
export function isoFromLogarithmicSpeed(degrees: number): number {
  return expectPositive(
    "ISO speed",
    power(10, (expectFinite("logarithmic speed", degrees) - 1) / 10),
  );
}
