import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { quantity } from "./fieldRules.ts";

/**
 * Exposure compensation in stops, + brighter. Cameras offer 5 stops, flash included 10.
 *
 * @see [EXIF, ExposureBiasValue]
 */
export function compensation(tags: TagSource): Field<number> {
  return quantity(tags.numbers("ExposureBiasValue"), { least: -15, most: 15 });
}
