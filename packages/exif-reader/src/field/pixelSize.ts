import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import { firstUsable, type Limits, wholeNumber } from "./fieldRules.ts";

const PIXELS: Limits = { least: 1, most: 2 ** 20 };

/** Width of the picture that the metadata was written for: PixelXDimension, else ImageWidth. */
export function pixelWidth(tags: TagSource): Field<number> {
  return firstUsable(
    () => wholeNumber(tags.numbers("PixelXDimension"), PIXELS),
    () => wholeNumber(tags.numbers("ImageWidth"), PIXELS),
  );
}

/** Height of the picture that the metadata was written for: PixelYDimension, else ImageLength. */
export function pixelHeight(tags: TagSource): Field<number> {
  return firstUsable(
    () => wholeNumber(tags.numbers("PixelYDimension"), PIXELS),
    () => wholeNumber(tags.numbers("ImageLength"), PIXELS),
  );
}
