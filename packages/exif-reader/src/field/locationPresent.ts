import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { ABSENT } from "./fieldRules.ts";

/** Whether a position is recorded. The position itself stays in the file. */
export function locationPresent(tags: TagSource): Field<boolean> {
  const position = tags.position();
  return position === undefined ? ABSENT : { value: position.present, from: position.from };
}
