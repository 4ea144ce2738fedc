import type { Field, ImageRegion } from "../exposureRecord.ts";
import type { Recorded, TagSource } from "../tag/tagSource.ts";
import { ABSENT } from "./fieldRules.ts";

/** The keywords that begin with `tonefall:`. */
export function keywords(tags: TagSource): Field<readonly string[]> {
  return asRecorded(tags.keywords());
}

/** The regions that somebody marked in the picture. */
export function regions(tags: TagSource): Field<readonly ImageRegion[]> {
  return asRecorded(tags.regions());
}

/** Marks are checked where they are read. */
function asRecorded<T>(recorded: Recorded<T> | undefined): Field<T> {
  if (recorded === undefined) return ABSENT;
  if ("fault" in recorded) return { value: null, reason: recorded.fault };
  return { value: recorded.value, from: recorded.from };
}
