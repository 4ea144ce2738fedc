import type { Field, MissingField } from "../exposureRecord.ts";
import type { FieldAbsence } from "../fieldAbsence.ts";
import { type Fraction, fractionText, type Recorded, recordedText } from "../tag/tagSource.ts";

/** The smallest and largest plausible value. Our judgement, far outside what cameras do. */
export interface Limits {
  readonly least: number;
  readonly most: number;
}

type Numbers = Recorded<readonly Fraction[]> | undefined;

/**
 * A quantity within the limits of its kind. A fraction over 0, a zero or negative value where only positive ones make
 * sense, and a value outside the limits each become null with a reason of their own.
 */
export function quantity(recorded: Numbers, { least, most }: Limits): Field<number> {
  return fieldOf(recorded, ([first]) => {
    if (first === undefined) return "wrong-type";
    const { numerator, denominator } = first;
    if (denominator === 0) return "zero-denominator";
    const value = numerator / denominator || 0; // never -0
    if (!Number.isFinite(numerator) || !Number.isFinite(denominator)) return "not-a-number";
    if (value === 0 && least > 0) return "zero";
    if (value < 0 && least >= 0) return "negative";
    return value < least || value > most ? "absurd" : { value };
  });
}

/**
 * A code's meaning.
 *
 * @param meanings - by code, as published
 * @param unlisted - the value for every other code, which `found` then keeps; without it such a code gives null,
 *   `not-defined`
 */
export function enumeration<T extends string>(
  recorded: Numbers,
  meanings: Readonly<Record<number, T>>,
  unlisted?: T,
): Field<T> {
  return fieldOf(recorded, ([first]) => {
    if (first === undefined || first.denominator !== 1) return "wrong-type";
    const meaning = meanings[first.numerator];
    if (meaning !== undefined) return { value: meaning };
    if (unlisted === undefined) return "not-defined";
    return { value: unlisted, found: fractionText(first) };
  });
}

/** A whole number within limits. */
export function wholeNumber(recorded: Numbers, limits: Limits): Field<number> {
  const field = quantity(recorded, limits);
  if (field.value === null || Number.isInteger(field.value)) return field;
  return { value: null, reason: "wrong-type", found: `${field.value}` };
}

/** The first field that has a value, or else the first whose reason is not just `absent`; those after it are not asked for. */
export function firstUsable<T>(...fields: readonly (() => Field<T>)[]): Field<T> {
  let refused = ABSENT;
  for (const ask of fields) {
    const field = ask();
    if (!("reason" in field)) return field;
    if (refused.reason === "absent") refused = field;
  }
  return refused;
}

/** The same field with its value converted. */
export function converted<A, B>(field: Field<A>, convert: (value: A) => B): Field<B> {
  return "reason" in field ? field : { ...field, value: convert(field.value) };
}

/** A field that the file does not record. */
export const ABSENT: MissingField = { value: null, reason: "absent" };

/** Turns a recorded value into a field, by a rule that gives a value or the reason why there is none. */
export function fieldOf<V extends string | readonly Fraction[], T>(
  recorded: Recorded<V> | undefined,
  rule: (value: V) => { value: T; found?: string } | FieldAbsence,
): Field<T> {
  if (recorded === undefined) return ABSENT;
  if ("fault" in recorded) return missing(recorded.fault, recorded.found);
  const outcome = rule(recorded.value);
  if (typeof outcome === "string") return missing(outcome, recordedText(recorded.value));
  return { ...outcome, from: recorded.from };
}

function missing(reason: FieldAbsence, found: string | undefined): MissingField {
  return { value: null, reason, ...(found === undefined ? {} : { found }) };
}
