import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { fieldOf } from "./fieldRules.ts";

/** Maker of the camera. */
export function make(tags: TagSource): Field<string> {
  return fieldOf(tags.text("Make"), (value) => ({ value }));
}

/** Model of the camera. */
export function model(tags: TagSource): Field<string> {
  return fieldOf(tags.text("Model"), (value) => ({ value }));
}

/** Program that made the picture from a capture, which editors that write their own name over the software leave in place. */
export function madeBy(tags: TagSource): Field<string> {
  return fieldOf(tags.text("MadeBy"), (value) => ({ value }));
}

/** Firmware or program that wrote the file. */
export function software(tags: TagSource): Field<string> {
  return fieldOf(tags.text("Software"), (value) => ({ value }));
}
