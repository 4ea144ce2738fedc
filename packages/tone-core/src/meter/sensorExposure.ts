import type { Settings } from "../apex/apex.ts";
import {
  EXPOSURE_INDEX_CONSTANT,
  LENS_FACTOR,
  REFLECTED_METER_K,
  SATURATION_SPEED_CONSTANT,
} from "../constants.ts";
import { ToneError } from "../errors.ts";
import { cosine, exp2, power, squared } from "../exact/exactMath.ts";
import { expectObject } from "../expectGiven.ts";
import { expectFinite, expectPositive, expectShare } from "../expectNumber.ts";

/** What decides how much of the scene's light a lens passes to a point of the sensor. */
export interface LensLight {
  /** Transmittance of the glass, above 0 and at most 1. */
  readonly transmittance: number;
  /** Vignetting factor, above 0 and at most 1. */
  readonly vignetting: number;
  /** Angle of the point from the axis, degrees, below 90. */
  readonly angleDegrees: number;
}

/**
 * Lens factor q, `(pi / 4) T f cos^4(angle)`: focal-plane light over scene light at f/1.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for a factor outside (0, 1] or an angle of 90 degrees or more
 * @see [ISO12232]
 *
 * @example
 * ```ts
 * lensFactor({ transmittance: 0.9, vignetting: 0.98, angleDegrees: 10 }).toFixed(4); // => "0.6516"
 * ```
 */
export function lensFactor(lens: LensLight): number {
  const { transmittance, vignetting, angleDegrees } = expectObject("the lens", lens);
  const angle = (expectAngle(angleDegrees) * Math.PI) / 180;
  return (
    (Math.PI / 4) *
    expectShare("transmittance", transmittance) *
    expectShare("vignetting factor", vignetting) *
    power(cosine(angle), 4)
  );
}

function expectAngle(degrees: number): number {
  if (Math.abs(expectFinite("angle", degrees)) < 90) return degrees;
  throw new ToneError(
    "TONE_OUT_OF_RANGE",
    `Expected less than 90 degrees from the axis for angle but received ${degrees}`,
  );
}

/**
 * Exposure of the sensor in lx·s, `H = q L t / N^2`.
 *
 * @param luminance - of the scene, cd/m², > 0
 * @param q - lens factor, > 0
 * @defaultValue q is {@link LENS_FACTOR}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a result, that is not above zero and finite
 * @see [ISO12232]
 *
 * @example
 * ```ts
 * focalPlaneExposure(64, { aperture: 8, shutterSeconds: 1 }); // => 0.65
 * ```
 */
export function focalPlaneExposure(
  luminance: number,
  settings: Omit<Settings, "iso">,
  q: number = LENS_FACTOR,
): number {
  expectObject("the settings", settings);
  return expectPositive(
    "exposure of the sensor",
    (expectPositive("lens factor", q) *
      expectPositive("luminance", luminance) *
      expectPositive("shutter time", settings.shutterSeconds)) /
      squared(expectPositive("aperture", settings.aperture)),
  );
}

/**
 * Saturation-based speed, `78 / H`.
 *
 * @param saturatingExposure - exposure that just saturates the sensor, lx·s, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a result, that is not above zero and finite
 * @see [ISO12232]
 *
 * @example
 * ```ts
 * saturationSpeed(0.78); // => 100
 * ```
 */
export function saturationSpeed(saturatingExposure: number): number {
  return expectPositive(
    "saturation speed",
    SATURATION_SPEED_CONSTANT / expectPositive("saturating exposure", saturatingExposure),
  );
}

/**
 * Exposure index, `10 / H`; recommended exposure index and standard output sensitivity share it.
 *
 * @param meteredExposure - exposure of the metered tone, lx·s, > 0
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a result, that is not above zero and finite
 * @see [ISO12232]
 *
 * @example
 * ```ts
 * exposureIndex(0.1); // => 100
 * ```
 */
export function exposureIndex(meteredExposure: number): number {
  return expectPositive(
    "exposure index",
    EXPOSURE_INDEX_CONSTANT / expectPositive("metered exposure", meteredExposure),
  );
}

/**
 * Scene luminance in cd/m² that saturates the sensor at settings of an exposure value for ISO 100.
 *
 * @param ev100 - any finite number
 * @param q - lens factor, > 0
 * @defaultValue q is {@link LENS_FACTOR}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`, also where the luminance is too high or too low for a double
 * @see [ISO12232]
 *
 * @example
 * ```ts
 * saturationLuminance(0); // => 1.2
 * ```
 */
export function saturationLuminance(ev100: number, q: number = LENS_FACTOR): number {
  return expectPositive(
    "saturating luminance",
    (SATURATION_SPEED_CONSTANT / (100 * expectPositive("lens factor", q))) *
      exp2(expectFinite("exposure value", ev100)),
  );
}

/**
 * Where a metered tone falls as a share of saturation when the speed is the saturation-based one, `q K / 78`: 10.4 %,
 * and so 0.30 stop below {@link SENSOR_MIDDLE_GREY}.
 *
 * @param k - reflected-light meter constant, > 0
 * @param q - lens factor, > 0
 * @defaultValue k is {@link REFLECTED_METER_K}, q is {@link LENS_FACTOR}
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for an argument, or a result, that is not above zero and finite
 * @see [METERED-SHARE]
 *
 * @example
 * ```ts
 * meteredShareOfSaturation().toFixed(3); // => "0.104"
 * ```
 */
export function meteredShareOfSaturation(
  k: number = REFLECTED_METER_K,
  q: number = LENS_FACTOR,
): number {
  return expectPositive(
    "share of saturation",
    (expectPositive("lens factor", q) * expectPositive("meter constant K", k)) /
      SATURATION_SPEED_CONSTANT,
  );
}
