import type { Field, ImageRegion } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { fieldOf } from "./fieldRules.ts";

/** The keywords that begin with `tonefall:`. */
export function keywords(tags: TagSource): Field<readonly string[]> {
  return fieldOf(tags.keywords(), (value) => ({ value }));
}

/** The regions that somebody marked in the picture. */
export function regions(tags: TagSource): Field<readonly ImageRegion[]> {
  return fieldOf(tags.regions(), (value) => ({ value }));
}
