import { ToneError, type ToneErrorCode } from "./errors.ts";

// Callers without types may hand over anything; they learn here what was wanted, instead of from the first property.

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is no object. */
export function expectObject<T extends object>(name: string, value: T): T {
  if (typeof value === "object" && value !== null) return value;
  throw refusal("TONE_OUT_OF_RANGE", "an object", name, value);
}

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is neither an array nor a typed array. */
export function expectList<T extends ArrayLike<unknown>>(name: string, value: T): T {
  if (Array.isArray(value) || ArrayBuffer.isView(value)) return value;
  throw refusal("TONE_OUT_OF_RANGE", "a list", name, value);
}

/** The value, or a {@link ToneError} of that code when it is no text. */
export function expectText(
  name: string,
  value: string,
  code: ToneErrorCode = "TONE_OUT_OF_RANGE",
): string {
  if (typeof value === "string") return value;
  throw refusal(code, "text", name, value);
}

function refusal(code: ToneErrorCode, what: string, name: string, value: unknown): ToneError {
  const given =
    value === null || value === undefined ? String(value) : `a value of type ${typeof value}`;
  return new ToneError(code, `Expected ${what} for ${name} but received ${given}`);
}
