import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { converted, wholeNumber } from "./fieldRules.ts";

/**
 * Whether the flash fired: bit 0 of Flash, or `Fired` of the XMP structure.
 *
 * @see [EXIF, Flash]
 */
export function flashFired(tags: TagSource): Field<boolean> {
  const code = wholeNumber(tags.numbers("Flash"), { least: 0, most: 65535 });
  return converted(code, (value) => value % 2 === 1);
}
