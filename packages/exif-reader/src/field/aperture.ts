import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { apexFallback } from "./apexFallback.ts";
import { type Limits, quantity } from "./fieldRules.ts";
import { powerOfTwo } from "./powerOfTwo.ts";

/** f-numbers, from faster than any lens to slower than a pinhole. */
const F_NUMBERS: Limits = { least: 0.3, most: 512 };

/**
 * The f-number, from FNumber or else ApertureValue (APEX, N = 2^(Av/2)).
 *
 * A lens without contacts records 0 or 0/0: null, since the camera does not know it.
 *
 * @see [EXIF, FNumber, ApertureValue]
 */
export function aperture(tags: TagSource): Field<number> {
  const recorded = quantity(tags.numbers("FNumber"), F_NUMBERS);
  return apexFallback(recorded, tags.numbers("ApertureValue"), F_NUMBERS, (av) =>
    powerOfTwo(av / 2),
  );
}
