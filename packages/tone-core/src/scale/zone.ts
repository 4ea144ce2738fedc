import { MIDDLE_GREY, SENSOR_MIDDLE_GREY } from "../constants.ts";
import { log2 } from "../exact/exactMath.ts";
import { expectText } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";

/** The zones by their numerals; the index is the zone. [ZONES] */
export const ZONE_NAMES = [
  "0",
  "I",
  "II",
  "III",
  "IV",
  "V",
  "VI",
  "VII",
  "VIII",
  "IX",
  "X",
] as const;

/** A zone's numeral. */
export type ZoneName = (typeof ZONE_NAMES)[number];

/** The zone of middle grey. */
const MIDDLE_ZONE = 5;

/** Zone at which a plain rendering reaches display white: 7.474. Zone VIII needs a tone curve, or V placed lower. */
export const ZONE_AT_DISPLAY_WHITE: number = zoneFromStops(log2(1 / MIDDLE_GREY));

/** Zone at which a sensor saturates when middle grey is at {@link SENSOR_MIDDLE_GREY}: 7.963. */
export const ZONE_AT_SENSOR_SATURATION: number = zoneFromStops(log2(1 / SENSOR_MIDDLE_GREY));

/**
 * Zone of a tone: V is middle grey, and a zone is one stop wide. Not rounded, and not limited to 0 to X.
 *
 * @param stops - from middle grey
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
 * @see [ZONES]
 *
 * @example
 * ```ts
 * zoneFromStops(1); // => 6
 * ```
 */
export function zoneFromStops(stops: number): number {
  return MIDDLE_ZONE + expectFinite("stops", stops);
}

/**
 * Stops from middle grey of a zone; the inverse of {@link zoneFromStops}.
 *
 * @param zone - any finite number
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
 *
 * @example
 * ```ts
 * stopsFromZone(3); // => -2
 * ```
 */
export function stopsFromZone(zone: number): number {
  return expectFinite("zone", zone) - MIDDLE_ZONE;
}

/**
 * Numeral of the zone a tone falls in: the nearest, from 0 to X. Beyond the ends it is the end.
 *
 * @param stops - from middle grey
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` for NaN and infinities
 *
 * @example
 * ```ts
 * zoneName(1.2); // => "VI"
 * ```
 */
export function zoneName(stops: number): ZoneName {
  const nearest = Math.round(zoneFromStops(stops));
  return ZONE_NAMES[Math.min(ZONE_NAMES.length - 1, Math.max(0, nearest))] as ZoneName;
}

/**
 * The zone of a Roman numeral in either case, or null for any other text.
 *
 * @param name - a numeral from 0 to X; spaces around it are ignored
 *
 * @example
 * ```ts
 * zoneFromName("VI"); // => 6
 * zoneFromName("XI"); // => null
 * ```
 */
export function zoneFromName(name: string): number | null {
  expectText("the zone", name);
  const zone = ZONE_NAMES.indexOf(name.trim().toUpperCase() as ZoneName);
  return zone < 0 ? null : zone;
}
