import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { apexFallback } from "./apexFallback.ts";
import { type Limits, quantity } from "./fieldRules.ts";
import { powerOfTwo } from "./powerOfTwo.ts";

/** From a tenth of a microsecond to eleven days. */
const SECONDS: Limits = { least: 1e-7, most: 1e6 };

/**
 * The exposure time in seconds, from ExposureTime or else ShutterSpeedValue (APEX, t = 2^-Tv).
 *
 * @see [EXIF, ExposureTime, ShutterSpeedValue]
 */
export function shutter(tags: TagSource): Field<number> {
  const recorded = quantity(tags.numbers("ExposureTime"), SECONDS);
  return apexFallback(recorded, tags.numbers("ShutterSpeedValue"), SECONDS, (tv) =>
    powerOfTwo(-tv),
  );
}
