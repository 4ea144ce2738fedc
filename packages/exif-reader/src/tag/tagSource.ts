import type { ImageRegion } from "../exposureRecord.ts";
import type { FieldAbsence } from "../fieldAbsence.ts";
import type { NumberTag, TextTag } from "./tags.ts";

/**
 * A number as the file wrote it. The parts are kept, because 0/0, 0/1 and a numerator of
 * FFFFFFFF.H each mean something that their quotient no longer shows.
 */
export interface Fraction {
  readonly numerator: number;
  readonly denominator: number;
}

/** What a file records under one tag: a value, or why there is none. */
export type Recorded<V> =
  | { readonly from: string; readonly value: V }
  | { readonly from: string; readonly found?: string; readonly fault: FieldAbsence };

/** One place that facts come from: the Exif block, the embedded XMP or the sidecar. */
export interface TagSource {
  /** One fraction or more, or undefined where the tag is absent. */
  numbers(tag: NumberTag): Recorded<readonly Fraction[]> | undefined;
  /** Printable text, trimmed and never empty, or undefined where the tag is absent. */
  text(tag: TextTag): Recorded<string> | undefined;
  /** Whether a position is recorded; undefined where nothing is said about positions. */
  position(): { readonly from: string; readonly present: boolean } | undefined;
  /** Keywords that begin with `tonefall:`, one or more, or undefined where there is none. */
  keywords(): Recorded<readonly string[]> | undefined;
  /** Regions marked in the picture, one or more, or undefined where there is none. */
  regions(): Recorded<readonly ImageRegion[]> | undefined;
}

/** A value as text, as a record quotes it: `"28/10 7"`, or the text itself. */
export function recordedText(value: string | readonly Fraction[]): string {
  return typeof value === "string" ? value : value.map(fractionText).join(" ");
}

/** `"28/10"`, or `"7"` for a whole number. */
export function fractionText({ numerator, denominator }: Fraction): string {
  return denominator === 1 ? `${numerator}` : `${numerator}/${denominator}`;
}
