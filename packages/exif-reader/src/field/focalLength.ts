import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { type Limits, quantity } from "./fieldRules.ts";

const MILLIMETRES: Limits = { least: 0.1, most: 1e5 };

/** Focal length in millimetres; a lens without contacts records 0, which is null. */
export function focalLength(tags: TagSource): Field<number> {
  return quantity(tags.numbers("FocalLength"), MILLIMETRES);
}

/** 35 mm equivalent focal length in millimetres; the standard gives 0 the meaning "unknown". */
export function focalLength35mm(tags: TagSource): Field<number> {
  const field = quantity(tags.numbers("FocalLengthIn35mmFilm"), MILLIMETRES);
  return field.value === null && field.reason === "zero" ? { ...field, reason: "unknown" } : field;
}
