import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { wholeNumber } from "./fieldRules.ts";

/**
 * Orientation 1..8: how to turn the stored picture upright.
 *
 * @see [EXIF, Orientation]
 */
export function orientation(tags: TagSource): Field<number> {
  const field = wholeNumber(tags.numbers("Orientation"), { least: 1, most: 8 });
  return field.value === null && field.reason === "absurd"
    ? { ...field, reason: "not-defined" }
    : field;
}
