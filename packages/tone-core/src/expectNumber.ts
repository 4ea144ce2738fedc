import { ToneError } from "./errors.ts";

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is NaN or infinite. */
export function expectFinite(name: string, value: number): number {
  return expectNumber(name, value, "a finite number", Number.isFinite(value));
}

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is not finite and above zero. */
export function expectPositive(name: string, value: number): number {
  return expectNumber(name, value, "a number above zero", Number.isFinite(value) && value > 0);
}

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is not finite and at least zero. */
export function expectNotNegative(name: string, value: number): number {
  return expectNumber(
    name,
    value,
    "a number of at least zero",
    Number.isFinite(value) && value >= 0,
  );
}

/** What rounding may carry a value past the ends of [0, 1] before it counts as outside. */
const UNIT_SLACK = 1e-9;

/** The value clipped to [0, 1], or a {@link ToneError} `TONE_OUT_OF_RANGE` when it lies outside by more than rounding. */
export function expectUnit(name: string, value: number): number {
  const inside = value >= -UNIT_SLACK && value <= 1 + UNIT_SLACK;
  return Math.min(1, Math.max(0, expectNumber(name, value, "a number from 0 to 1", inside)));
}

function expectNumber(name: string, value: number, what: string, holds: boolean): number {
  if (!holds) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected ${what} for ${name} but received ${String(value)}`,
    );
  }
  return value;
}
