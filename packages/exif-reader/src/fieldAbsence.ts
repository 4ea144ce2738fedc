/** Stable reasons why a field is null. */
export type FieldAbsence =
  | "absent"
  | "blank"
  | "zero"
  | "zero-denominator"
  | "negative"
  | "absurd"
  | "unknown"
  | "saturated"
  | "not-defined"
  | "not-a-number"
  | "wrong-type"
  | "beyond-end"
  | "malformed";

/** One plain sentence for each reason. */
export const REASONS: Readonly<Record<FieldAbsence, string>> = {
  absent: "The file does not record it.",
  blank: "The file records only spaces.",
  zero: "The file records 0, which cameras write when they do not know the value.",
  "zero-denominator": "The file records a fraction whose denominator is 0, which gives no value.",
  negative: "The file records a negative value where only a positive one makes sense.",
  absurd: "The file records a value that no camera can have used.",
  unknown: "The file itself says that the value is unknown.",
  saturated: "The file records only that the value is 65535 or more.",
  "not-defined": "The file records a code that has no published meaning.",
  "not-a-number": "The file records something that is not a number.",
  "wrong-type": "The file records it in a form that the tag's definition does not allow.",
  "beyond-end": "The file points to a value that is outside its own metadata.",
  malformed: "The file records text that cannot be read as this kind of value.",
};
