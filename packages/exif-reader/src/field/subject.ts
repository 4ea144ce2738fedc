import type { Field, SubjectArea, SubjectLocation } from "../exposureRecord.ts";
import type { Fraction, TagSource } from "../tag/tagSource.ts";
import { fieldOf } from "./fieldRules.ts";

/** The standard writes SHORTs, but an XMP file may name a wider picture. */
const MOST_PIXELS = 2 ** 20;

/**
 * The main subject: 2 numbers are a point, 3 a circle with its diameter, 4 a rectangle; x and y
 * are always the centre, in the stored picture before Orientation.
 *
 * @see [EXIF, SubjectArea]
 */
export function subjectArea(tags: TagSource): Field<SubjectArea> {
  return fieldOf<readonly Fraction[], SubjectArea>(tags.numbers("SubjectArea"), (fractions) => {
    const numbers = pixels(fractions);
    if (typeof numbers === "string") return numbers;
    const [x = 0, y = 0, width = 0, height = 0] = numbers;
    if (numbers.length === 2) return { value: { shape: "point", x, y } };
    if (numbers.length === 3 && width > 0) {
      return { value: { shape: "circle", x, y, diameter: width } };
    }
    if (numbers.length === 4 && width > 0 && height > 0) {
      return { value: { shape: "rectangle", x, y, width, height } };
    }
    return numbers.length < 3 || numbers.length > 4 ? "wrong-type" : "zero";
  });
}

/**
 * The centre of the main subject, in the stored picture before Orientation.
 *
 * @see [EXIF, SubjectLocation]
 */
export function subjectLocation(tags: TagSource): Field<SubjectLocation> {
  return fieldOf(tags.numbers("SubjectLocation"), (fractions) => {
    const numbers = pixels(fractions);
    if (typeof numbers === "string") return numbers;
    const [x = 0, y = 0] = numbers;
    return numbers.length === 2 ? { value: { x, y } } : "wrong-type";
  });
}

function pixels(
  fractions: readonly Fraction[],
): number[] | "zero-denominator" | "negative" | "absurd" | "zero" {
  if (fractions.some(({ denominator }) => denominator === 0)) return "zero-denominator";
  const numbers = fractions.map(({ numerator, denominator }) => numerator / denominator);
  if (numbers.some((number) => number < 0)) return "negative";
  if (!numbers.every((number) => number <= MOST_PIXELS)) return "absurd";
  return numbers.every((number) => number === 0) ? "zero" : numbers;
}
