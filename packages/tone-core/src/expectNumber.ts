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

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is not above zero and at most one. */
export function expectShare(name: string, value: number): number {
  return expectNumber(name, value, "a number above 0 and at most 1", value > 0 && value <= 1);
}

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is not a number from `least` to `most`. */
export function expectNumberBetween(
  name: string,
  value: number,
  least: number,
  most: number,
): number {
  const holds = value >= least && value <= most;
  return expectNumber(name, value, `a number from ${least} to ${most}`, holds);
}

/** The value, or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is not a whole number from `least` to `most`. */
export function expectWhole(name: string, value: number, least: number, most: number): number {
  const holds = Number.isInteger(value) && value >= least && value <= most;
  return expectNumber(name, value, `a whole number from ${least} to ${most}`, holds);
}

/** What rounding may carry a value past the ends of [0, 1] before it counts as outside. */
const UNIT_SLACK = 1e-9;

/** The value clipped to [0, 1], or a {@link ToneError} `TONE_OUT_OF_RANGE` when it is outside by more than rounding. */
export function expectUnit(name: string, value: number): number {
  const inside = value >= -UNIT_SLACK && value <= 1 + UNIT_SLACK;
  return Math.min(1, Math.max(0, expectNumber(name, value, "a number from 0 to 1", inside)));
}

function expectNumber(name: string, value: number, what: string, holds: boolean): number {
  if (typeof value !== "number" || !holds) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected ${what} for ${name} but received ${String(value)}`,
    );
  }
  return value;
}
