import type { Field } from "../exposureRecord.ts";
import { recordedText, type TagSource } from "../tag/tagSource.ts";
import { quantity } from "./fieldRules.ts";

/** FFFFFFFF.H as the signed and as the unsigned number it may have been written as. */
const UNKNOWN_NUMERATORS: ReadonlySet<number> = new Set([-1, 0xffffffff]);

/**
 * The APEX brightness value Bv, in stops; a numerator of FFFFFFFF.H means "unknown".
 *
 * @see [EXIF, BrightnessValue]
 */
export function brightnessValue(tags: TagSource): Field<number> {
  const recorded = tags.numbers("BrightnessValue");
  const numbers = recorded && "value" in recorded ? recorded.value : [];
  if (UNKNOWN_NUMERATORS.has(numbers[0]?.numerator ?? 0)) {
    return { value: null, reason: "unknown", found: recordedText(numbers) };
  }
  return quantity(recorded, { least: -30, most: 30 });
}
